"""How far the residual's push has moved away from what it was in this run until now.

Strong or weak mains push a source all along and alike; a bead that has come off, half an element
or a weld pushes from its moment on. Pushes are taken as shares of what trips at once where the
plan stands, so that a segment of much power compares with one of little.
"""

from heatcore.limits import DRIFT_AFTER_BLOCKS, DRIFT_BLOCKS, DRIFT_MILLE, DRIFT_SETTLE_BLOCKS
from heatcore.numbers import Ratio, clamp

MILLE = 1000
MILLE_MAX = 8 * MILLE  # more is never a matter of degree
FINE = 64  # the mean moves in parts of a thousandth


class Drift:
    def __init__(self, ratio: Ratio) -> None:
        self.mille = 0
        self._ratio = ratio
        self._mean = 0  # of all blocks, the early ones forgotten; in parts of FINE
        self._blocks = 0
        self._settling = 0

    def restart(self) -> None:
        """After a gap the push builds up anew; what it was before is as true as ever."""
        self.mille = 0
        self._settling = DRIFT_SETTLE_BLOCKS

    def see(self, push_mk: int, trip_mk: int) -> None:
        """Once a block."""
        if self._settling:
            self._settling -= 1
            return
        share = self._ratio.nearest(push_mk, MILLE, max(trip_mk, 1))
        mille = clamp(share, -MILLE_MAX, MILLE_MAX)
        known = self._blocks >= DRIFT_AFTER_BLOCKS
        self.mille = mille - self._mean // FINE if known else 0
        self._blocks = min(self._blocks + 1, DRIFT_BLOCKS)
        self._mean += (mille * FINE - self._mean) // self._blocks

    def holds(self) -> bool:
        return -DRIFT_MILLE <= self.mille <= DRIFT_MILLE
