# Is the heater proven off? Not "commanded off": a solid-state relay usually fails shorted.

from array import array

from heatcore.inputs import NONE, OK
from heatcore.limits import CURRENT_MA

# A source that has cooled to this is not being heated.
COLD_MC = 50000
# A cooling oven loses 0.35 C/s at reflow heat; a heated one never loses 5 K in a minute.
FALL_MK = 5000
FALL_S = 60


class OffProof:
    def __init__(self) -> None:
        # One reading a second, the oldest overwritten.
        self._ring = array("i", [NONE] * FALL_S)
        self._seconds = 0
        self._next_ms = NONE
        self.holds = False

    def restart(self) -> None:
        # While the heater is on nothing is proven, and no reading counts for later.
        self._seconds = 0
        self._next_ms = NONE
        self.holds = False

    def judge(self, now_ms: int, inputs) -> None:
        if inputs.sensor_status != OK or inputs.sensor_mc == NONE or has_current(inputs):
            self.restart()
            return
        fallen = self.fall_mk(inputs.sensor_mc) >= FALL_MK
        self.holds = inputs.sensor_mc < COLD_MC or fallen
        if self._next_ms == NONE or now_ms >= self._next_ms:
            self._ring[self._seconds % FALL_S] = inputs.sensor_mc
            self._seconds += 1
            self._next_ms = now_ms + 1000

    def fall_mk(self, sensor_mc: int) -> int:
        # Against the reading of a minute ago: a draught from the door is not a cooling oven.
        if self._seconds < FALL_S:
            return 0
        return self._ring[self._seconds % FALL_S] - sensor_mc


def has_current(inputs) -> bool:
    # Negative: what flows in the off-slots of a heater that is being fired.
    return inputs.current_ma != NONE and not -CURRENT_MA <= inputs.current_ma <= CURRENT_MA
