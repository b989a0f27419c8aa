# At arming each of the two heater outputs is closed alone, for a moment: nothing may flow, and
# nothing may get warmer. One of them that lets heat through by itself is welded.

from heatcore.inputs import NONE
from heatcore.limits import OVER_PATIENCE_MS, TICK_MS
from heatcore.patience import Patience

from .off_proof import has_current

# The relay, then the solid-state relay; between them the contact has time to open.
RELAY_MS = (250, 1000)
SSR_MS = (1750, 2500)
# As long as a source takes to show what a moment of heat did.
PROOF_MS = 22500
RISE_MK = 3000


class OutputProof:
    def __init__(self) -> None:
        self.seen = 0
        self.expected = RISE_MK
        self._armed_ms = 0
        self._first_mc = NONE
        self._rise_mk = RISE_MK
        self._patience = Patience(OVER_PATIENCE_MS)

    def begin(self, now_ms: int, sensor_mc: int, rise_mk: int = RISE_MK) -> None:
        # More than RISE_MK is for a board that takes on the warmth of an earlier run.
        self._armed_ms = now_ms
        self._first_mc = sensor_mc
        self._rise_mk = rise_mk

    def is_done(self, now_ms: int) -> bool:
        return now_ms - self._armed_ms > PROOF_MS

    def closes_relay(self, now_ms: int) -> bool:
        return RELAY_MS[0] <= now_ms - self._armed_ms < RELAY_MS[1]

    def closes_ssr(self, now_ms: int) -> bool:
        return SSR_MS[0] <= now_ms - self._armed_ms < SSR_MS[1]

    def holds(self, inputs) -> bool:
        # Once a tick.
        if has_current(inputs):
            self.seen = inputs.current_ma
            self.expected = 0
        else:
            self.seen = 0 if inputs.sensor_mc == NONE else inputs.sensor_mc - self._first_mc
            self.expected = self._rise_mk
        return self._patience.holds(self.seen <= self.expected, TICK_MS)
