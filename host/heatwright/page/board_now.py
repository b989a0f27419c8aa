"""The board's temperature while a run goes on: measured by its bead, or estimated by the model.

What estimates it is what judges it afterwards (`judging.estimate`): many sources drawn from the
file's uncertainty, driven with the power that was really given, each moved by the sensor's readings
so far through the regression of board on sensor over the drawn lot.
"""

from __future__ import annotations

from math import hypot
from typing import NamedTuple, cast

import numpy as np

from heatcore.codes import STAGES
from heatcore.inputs import NONE, OK
from heatsim import physics
from heatsim.batch import lanes
from heatsim.plant import NODES, STEP_S, start
from heatwright.documents import Source
from heatwright.documents.bench import Bench
from heatwright.documents.load import for_board
from heatwright.judging.board import BEAD_TOLERANCE_K, ON_THE_BOARD
from heatwright.judging.estimate import READING_SD_K, draw
from heatwright.judging.melting import Melt
from heatwright.records.units import Floats

DRAWN, SEED = 100, 20
# EN 50160: supply voltage within 10 % of nominal; taken as two standard deviations.
MAINS_SD = 0.05
# A reading now and then: neighbouring ones err together and say the same again.
READ_EVERY = round(10.0 / STEP_S)
# how fast a board usually is when its paste melts
USUAL_K_S = 1.0
BOARD, SENSOR = NODES.index("board"), NODES.index("sensor")
# A band that holds the board about nineteen times in twenty.
SDS = 2.0


class BoardNow(NamedTuple):
    """In °C; ``band_k`` to either side; ``origin`` is measured, estimated or unknown."""

    board_c: float | None
    band_k: float
    origin: str


class Watcher:
    """Follows the samples of a run and says what the board has now."""

    def __init__(
        self, placing: str, source: Source | None, ambient_c: float, bench: Bench | None = None
    ) -> None:
        """``bench``: what lies in the source; None, or no board: the one it was fitted on."""
        self._paste = bench.paste if bench else None
        self._on_board = placing in ON_THE_BOARD
        self._source = source
        self._duty = 0.0
        self._ticks = 0
        is_followed = source is not None and not self._on_board
        self._lot = _Lot(source, bench, ambient_c) if source and is_followed else None

    def see(self, sample: dict[str, int]) -> BoardNow:
        """One sample of a tick, in the core's integers."""
        if self._on_board:
            return _measured(sample)
        if self._lot is None:
            return BoardNow(None, 0.0, "unknown")
        self._lot.step(self._duty, float(sample["door"] == 1), float(sample["fan"] == 1))
        self._duty = sample["duty"] / 10_000
        if self._ticks % READ_EVERY == 0 and _is_sound(sample):
            self._lot.read(sample["sensor_mc"] / 1000, hypot(READING_SD_K, self._own_sd_k(sample)))
        self._ticks += 1
        board_c, sd_k, off_k = self._lot.board()
        own_k = max(SDS * hypot(sd_k, self._own_sd_k(sample)), BEAD_TOLERANCE_K)
        return BoardNow(board_c, hypot(own_k, off_k), "estimated")

    def melted(self) -> None:
        """A person saw the paste melt: solder is its own thermometer."""
        if self._lot and self._paste:
            self._lot.melted(self._paste.solidus_c, self._paste.liquidus_c)

    def not_melted(self) -> None:
        """That was taken back."""
        if self._lot:
            self._lot.not_melted()

    def _own_sd_k(self, sample: dict[str, int]) -> float:
        """What no number of the source explains, by its file."""
        spread = getattr(self._source.spread, STAGES[sample["stage"]]) if self._source else None
        return float(spread.sd_k) if spread else 0.0


class _Seen(NamedTuple):
    """What was seen, what each source had there then, and how exact it is."""

    value: float
    of_members: Floats
    sd_k: float


class _Lot:
    """Sources as likely as the fitted one, a lane each."""

    def __init__(self, source: Source, bench: Bench | None, ambient_c: float) -> None:
        rng = np.random.default_rng(SEED)
        drawn = draw(source, DRAWN, rng)
        if bench:
            drawn = [for_board(one, bench.board, bench.fitted) for one in drawn]
        self._coefficients = lanes(drawn)
        self._mains = 1.0 + MAINS_SD * rng.standard_normal(DRAWN)
        self._ambient_c = ambient_c
        self._state = cast(physics.State, tuple(np.full(DRAWN, c) for c in start(ambient_c)))
        self._seen: list[_Seen] = []
        self._melt: _Seen | None = None
        self._apart: Floats = np.zeros((DRAWN, 0))
        self._inverse: Floats = np.zeros((0, 0))
        self._weights: Floats = np.zeros(0)

    def step(self, duty: float, door: float, fan: float) -> None:
        c, mains = self._coefficients, cast(float, self._mains)
        drive = physics.settle(c, duty, door, fan, mains, self._ambient_c)
        self._state = physics.advance(self._state, c, drive, STEP_S)

    def read(self, sensor_c: float, sd_k: float) -> None:
        """Take in what the sensor reads now; neighbours err together, hence twice their sd."""
        self._seen.append(_Seen(sensor_c, np.array(self._state[SENSOR]), 2.0 * sd_k))
        self._weigh()

    def melted(self, low_c: float, high_c: float) -> None:
        """The board is at what the paste melts at, now."""
        melt = Melt(0.0, "first_melt", low_c, high_c)
        sd_k = melt.sd_k(USUAL_K_S)
        self._melt = _Seen(melt.mean_c, np.array(self._state[BOARD]), sd_k)
        self._weigh()

    def not_melted(self) -> None:
        self._melt = None
        self._weigh()

    def _weigh(self) -> None:
        seen = [*self._seen, *([self._melt] if self._melt else [])]
        of_members = np.array([one.of_members for one in seen]).reshape(-1, DRAWN).T
        self._apart = of_members - of_members.mean(axis=0)
        sd_k = np.array([one.sd_k for one in seen])
        covariance = self._apart.T @ self._apart / (DRAWN - 1) + np.diag(sd_k**2)
        self._inverse = np.asarray(np.linalg.inv(covariance), dtype=np.float64)
        self._weights = self._inverse @ (
            np.array([o.value for o in seen]) - of_members.mean(axis=0)
        )

    def board(self) -> tuple[float, float, float]:
        """The board, its standard deviation, and what the last reading is off all this explains."""
        boards_c = np.asarray(self._state[BOARD])
        apart = boards_c - boards_c.mean()
        across = apart @ self._apart / (DRAWN - 1)
        variance = float(apart @ apart / (DRAWN - 1) - across @ self._inverse @ across)
        return (
            float(boards_c.mean() + across @ self._weights),
            max(variance, 0.0) ** 0.5,
            self._off(),
        )

    def _off(self) -> float:
        if not self._seen:
            return 0.0
        value, last, _ = self._seen[-1]
        explained = last.mean() + (last - last.mean()) @ self._apart @ self._weights / (DRAWN - 1)
        return abs(value - float(explained))


def _measured(sample: dict[str, int]) -> BoardNow:
    if not _is_sound(sample):
        return BoardNow(None, 0.0, "unknown")
    return BoardNow(sample["sensor_mc"] / 1000, BEAD_TOLERANCE_K, "measured")


def _is_sound(sample: dict[str, int]) -> bool:
    return sample["sensor_status"] == OK and sample["sensor_mc"] != NONE
