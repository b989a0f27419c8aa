"""Heat that nobody commanded, or heat that is missing, from what the plan's model expects.

The plan carries, per segment, how this source's sensor answers near the trajectory:

    e[k] = (a1 e[k-1] + a2 e[k-2] + b1 v[k-1] + b2 v[k-2]) / 2**shift

with e = y - y* in mK and v = u - u* in duty, each the mean of one block of BLOCK_TICKS. What is
left over, e[k] less that, is what a disturbance of the heater's power did in one block. The same
model carries it on, and each block a MEMORY-th of it is forgotten: `push_mk`, how far the source
was pushed off its course of late by power that was not commanded. Beyond trip_mk it trips at once;
beyond warn_mk it is counted up, and trips at cusum_mk_s. Nor may it move far within one run:
see drift.py.
"""

from array import array

from heatcore.drift import MILLE, Drift
from heatcore.numbers import BOUND, Ratio, clamp
from heatcore.plan import DEVIATION_WIDTH, TRIP_MK, WARN_MK

BLOCK_TICKS = 8  # two seconds: the mean of eight readings is free of steps and most noise
BLOCK_S = 2
MEMORY = 6  # blocks: a dead heater shows within twenty seconds, and a gust from a window passes
CLIP_MK = 200_000  # of the deviation: more is never a matter of degree
CUSUM_WIDTH = 8  # the cell of cusum_mk_s


class Residual:
    def __init__(self, rows: "array[int]", ratio: Ratio) -> None:
        self.push_mk = 0
        self.counted_mk_s = 0
        self.drift = Drift(ratio)
        self.seen = 0
        self.expected = 0
        self._rows = rows
        self._ratio = ratio
        self._row = 0
        self._ticks = 0
        self._blocks = 0
        self._e_sum = self._v_sum = 0
        self._e1 = self._e2 = 0
        self._push1 = 0
        self._v1 = self._v2 = 0

    def restart(self) -> None:
        """After a gap, a wait or an open door nothing is known of the blocks before."""
        self.push_mk = 0
        self._push1 = 0
        self.counted_mk_s = 0
        self.drift.restart()
        self._ticks = 0
        self._blocks = 0
        self._e_sum = self._v_sum = 0

    def holds(self, plan_ms: int, error_mk: int, extra_duty: int) -> bool:
        """Once a tick, with y - y* and u - u*."""
        if len(self._rows) == 0:
            return True
        self._e_sum += clamp(error_mk, -CLIP_MK, CLIP_MK)
        self._v_sum += extra_duty
        self._ticks += 1
        if self._ticks == BLOCK_TICKS:
            self._choose_row(plan_ms)
            self._end_block(self._e_sum // BLOCK_TICKS, self._v_sum // BLOCK_TICKS)
        return self._is_expected()

    def _cell(self, column: int) -> int:
        return self._rows[self._row + column]

    def _choose_row(self, plan_ms: int) -> None:
        following = self._row + DEVIATION_WIDTH
        while following < len(self._rows) and self._rows[following] <= plan_ms:
            self._row = following
            following += DEVIATION_WIDTH

    def _end_block(self, e: int, v: int) -> None:
        if self._blocks >= 2:
            self._push(e - self._expected())
        self._e2, self._e1 = self._e1, e
        self._v2, self._v1 = self._v1, v
        self._blocks = min(self._blocks + 1, 2)
        self._ticks = 0
        self._e_sum = self._v_sum = 0

    def _expected(self) -> int:
        """Where the deviation goes by itself."""
        of_before = self._part(self._e1, 1) + self._part(self._e2, 2)
        return of_before + self._part(self._v1, 3) + self._part(self._v2, 4)

    def _part(self, value: int, column: int) -> int:
        coefficient = self._cell(column)
        if coefficient < 0:
            value, coefficient = -value, -coefficient
        return self._ratio.nearest(value, coefficient, 1 << self._cell(5))

    def _push(self, left_over_mk: int) -> None:
        kept_mk = self._part(_faded(self.push_mk), 1) + self._part(_faded(_faded(self._push1)), 2)
        self._push1 = self.push_mk
        self.push_mk = clamp(kept_mk + left_over_mk, -BOUND, BOUND)
        self.drift.see(self.push_mk, self._cell(TRIP_MK))
        over_mk = abs(self.push_mk) - self._cell(WARN_MK)
        counted = self.counted_mk_s + clamp(over_mk, -BOUND, BOUND) * BLOCK_S
        self.counted_mk_s = clamp(counted, 0, BOUND)

    def _is_expected(self) -> bool:
        self.seen = self.push_mk
        self.expected = self._cell(TRIP_MK)
        at_once = -self.expected <= self.push_mk <= self.expected
        if at_once and self.counted_mk_s > self._cell(CUSUM_WIDTH):
            self.expected = self._cell(WARN_MK)
            return False
        return at_once and self._is_steady()

    def _is_steady(self) -> bool:
        if self.drift.holds():
            return True
        self.seen = self._ratio.nearest(self.drift.mille, self._cell(TRIP_MK), MILLE)
        return False


def _faded(push_mk: int) -> int:
    return push_mk - push_mk // MEMORY
