"""How a source behaves with a board in it: the rates, times and coasting that people measure."""

from dataclasses import dataclass

import numpy as np

from heatsim.batch import Floats, inputs_table, simulate_compiled
from heatsim.params import PlantParams
from heatsim.plant import NODES, STEP_S

AMBIENT_C = 25.0
PEAK_C = 245.0
LONG_STEPS = 4 * 1200
NEVER_S = 1e9
BOARD = NODES.index("board")


@dataclass(frozen=True)
class Run:
    """One run of one source: board and sensor in C, a row each `STEP_S`."""

    nodes: Floats

    @property
    def board_c(self) -> Floats:
        return self.nodes[:, BOARD]

    def reaches(self, board_c: float, after_s: float = 0.0) -> float:
        """Time at which the board first passes this, going up, s; infinite where it never does."""
        return self._crossing(self.board_c >= board_c, board_c, after_s)

    def falls_to(self, board_c: float) -> float:
        """Time at which the board, past its peak, is down to this, s."""
        return self._crossing(self.board_c < board_c, board_c, self.peak_s())

    def rate(self, at_c: float) -> float:
        """Slope of the board over 5 K to either side, K/s."""
        return 10.0 / (self.reaches(at_c + 5.0) - self.reaches(at_c - 5.0))

    def peak_s(self) -> float:
        return float(np.argmax(self.board_c)) * STEP_S

    def fall_rate(self, high_c: float, low_c: float) -> float:
        """Mean rate from `high_c` down to `low_c` after the peak, K/s."""
        return (high_c - low_c) / (self.falls_to(low_c) - self.falls_to(high_c))

    def at(self, node: str, time_s: float) -> float:
        """Temperature of a node, C."""
        return float(self.nodes[round(time_s / STEP_S), NODES.index(node)])

    def _crossing(self, beyond: Floats, level_c: float, after_s: float) -> float:
        row = int(after_s / STEP_S) + 1
        row += int(np.argmax(beyond[row:]))
        if not beyond[row]:
            return float("inf")
        before, after = self.board_c[row - 1], self.board_c[row]
        return float(row - 1 + (level_c - before) / (after - before)) * STEP_S


def full_power(params: PlantParams, mains: float = 1.0) -> Run:
    return _run(params, np.ones(LONG_STEPS), np.zeros(LONG_STEPS), mains)


def cut_at(params: PlantParams, board_c: float) -> Run:
    """Full power until the board is at `board_c`, none after."""
    return _after_cut(params, full_power(params).reaches(board_c), NEVER_S, NEVER_S)


def peak_run(params: PlantParams, open_door: bool = False) -> Run:
    """Full power, cut so that the board peaks at `PEAK_C`; the door then opened or not."""
    cut_s = _cut_s(params)
    peak_s = _after_cut(params, cut_s, NEVER_S, NEVER_S).peak_s()
    return _after_cut(params, cut_s, peak_s if open_door else NEVER_S, NEVER_S)


def weld_s(params: PlantParams, limit_c: float = 300.0) -> float:
    """Seconds from a peak of `PEAK_C` to `limit_c` when the relay welds at the peak."""
    cut_s = _cut_s(params)
    peak_s = _after_cut(params, cut_s, NEVER_S, NEVER_S).peak_s()
    return _after_cut(params, cut_s, NEVER_S, peak_s).reaches(limit_c) - peak_s


def dead_time_s(params: PlantParams) -> float:
    """Where the tangent at 60 C meets room temperature: the start-up's dead time."""
    run = full_power(params)
    return run.reaches(60.0) - (60.0 - AMBIENT_C) / run.rate(60.0)


def _cut_s(params: PlantParams) -> float:
    low_s, high_s = 0.0, full_power(params).reaches(PEAK_C)
    while high_s - low_s > 0.02:
        middle_s = (low_s + high_s) / 2.0
        highest_c = _after_cut(params, middle_s, NEVER_S, NEVER_S).board_c.max()
        low_s, high_s = (low_s, middle_s) if highest_c >= PEAK_C else (middle_s, high_s)
    return high_s


def _after_cut(params: PlantParams, cut_s: float, door_s: float, weld_s: float) -> Run:
    starts_s = np.arange(LONG_STEPS) * STEP_S
    # The step in which power is cut gets its share of it, so that results move smoothly.
    duty = np.clip((cut_s - starts_s) / STEP_S, 0.0, 1.0)
    duty[starts_s >= weld_s] = 1.0
    return _run(params, duty, (starts_s >= door_s).astype(float), 1.0)


def _run(params: PlantParams, duty: Floats, door: Floats, mains: float) -> Run:
    inputs = inputs_table(duty, door=door, mains=mains, ambient_c=AMBIENT_C)
    return Run(simulate_compiled([params], inputs)[0])
