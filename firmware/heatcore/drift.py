"""How far the residual's push has moved away from what it was at any time in this run.

Strong or weak mains push a source all along and alike; a bead that has come off, half an element
or a weld pushes from its moment on. Pushes are taken as shares of what trips at once where the
plan stands, so that a segment of much power compares with one of little.
"""

from heatcore.inputs import NONE
from heatcore.limits import DRIFT_BEGIN_BLOCKS, DRIFT_SETTLE_BLOCKS, DRIFT_SMOOTH_BLOCKS
from heatcore.numbers import Ratio, clamp

MILLE = 1000
MILLE_MAX = 8 * MILLE  # more is never a matter of degree
FINE = 64  # what is smoothed moves in parts of a thousandth


class Drift:
    def __init__(self, ratio: Ratio) -> None:
        self.mille = 0
        self._ratio = ratio
        self._settling = DRIFT_BEGIN_BLOCKS
        self._smooth = NONE  # of a few blocks, in parts of FINE
        self._lowest = self._highest = NONE

    def restart(self) -> None:
        """After a gap the push builds up anew; what it was before is as true as ever."""
        self.mille = 0
        self._settling = max(self._settling, DRIFT_SETTLE_BLOCKS)
        self._smooth = NONE

    def see(self, push_mk: int, trip_mk: int) -> None:
        """Once a block."""
        if self._settling:
            self._settling -= 1
            return
        share = self._ratio.nearest(push_mk, MILLE, max(trip_mk, 1))
        self._compare(self._smoothed(clamp(share, -MILLE_MAX, MILLE_MAX)))

    def _smoothed(self, mille: int) -> int:
        if self._smooth == NONE:
            self._smooth = mille * FINE
        self._smooth += (mille * FINE - self._smooth) // DRIFT_SMOOTH_BLOCKS
        return self._smooth // FINE

    def _compare(self, mille: int) -> None:
        if self._lowest == NONE:
            self._lowest = self._highest = mille
        self._lowest = min(self._lowest, mille)
        self._highest = max(self._highest, mille)
        risen, fallen = mille - self._lowest, self._highest - mille
        self.mille = risen if risen >= fallen else -fallen

    def holds(self) -> bool:
        """It moves no further than what trips at once."""
        return -MILLE <= self.mille <= MILLE
