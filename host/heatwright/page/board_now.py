"""The board's temperature while a run goes on: measured by its bead, or estimated by the model."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from heatcore.codes import STAGES
from heatcore.inputs import NONE, OK
from heatsim.plant import STEP_S, Plant
from heatwright.documents import Source
from heatwright.judging.board import ON_THE_BOARD

# A bead on the board: what a thermocouple of class 2 and its glue may be off.
BEAD_K = 3.0
# Where a source does not say how far its model errs: of the rise above room, by judgement.
UNKNOWN_SHARE = 0.06


class BoardNow(NamedTuple):
    """In °C; ``band_k`` to either side; ``origin`` is measured, estimated or unknown."""

    board_c: float | None
    band_k: float
    origin: str


class Watcher:
    """Follows the samples of a run and says what the board has now."""

    def __init__(self, placing: str, source: Source | None, ambient_c: float) -> None:
        self._on_board = placing in ON_THE_BOARD
        self._source = source
        self._ambient_c = ambient_c
        self._duty = 0.0
        self._plant = Plant(source.plant_params()) if source else None
        if self._plant:
            self._plant.reset(ambient_c)

    def see(self, sample: dict[str, int]) -> BoardNow:
        """One sample of a tick, in the core's integers."""
        if self._on_board:
            return _measured(sample)
        if self._plant is None or self._source is None:
            return BoardNow(None, 0.0, "unknown")
        felt = self._plant.step(STEP_S, self._duty, _door(sample), float(sample["fan"] == 1))
        self._duty = sample["duty"] / 10_000
        return BoardNow(felt["board"], self._band(sample, felt), "estimated")

    def _band(self, sample: dict[str, int], felt: dict[str, float]) -> float:
        """Twice the source's own spread, and as much as the sensor is off its prediction."""
        spread = getattr(self._source.spread, STAGES[sample["stage"]]) if self._source else None
        rise_k = abs(felt["board"] - self._ambient_c)
        own_k = 2.0 * spread.sd_k if spread else UNKNOWN_SHARE * rise_k
        off_k = 0.0
        if sample["sensor_status"] == OK and sample["sensor_mc"] != NONE:
            off_k = abs(sample["sensor_mc"] / 1000 - felt["sensor"])
        return float(np.hypot(max(own_k, BEAD_K), off_k))


def _measured(sample: dict[str, int]) -> BoardNow:
    if sample["sensor_status"] != OK or sample["sensor_mc"] == NONE:
        return BoardNow(None, 0.0, "unknown")
    return BoardNow(sample["sensor_mc"] / 1000, BEAD_K, "measured")


def _door(sample: dict[str, int]) -> float:
    return float(sample["door"] == 1)
