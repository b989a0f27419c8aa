# Heater current from an analogue input. The sensor's output may be rectified or still alternating
# about its zero: the largest swing since the last reading serves both, in mA RMS of a sine. What
# flows in off-slots is kept apart: it shows a welded relay in the midst of firing.

from heatcore.limits import CURRENT_MA

FULL_U16 = 65535
# A solid-state relay conducts to the end of its half-cycle (10 ms at 50 Hz): from here on what
# flows in an off-slot is not the last on-slot's.
SETTLED_MS = 15


class CurrentSensor:
    def __init__(self, adc, zero: int, full_ma: int) -> None:
        self._adc = adc
        self._zero = zero
        self._span = FULL_U16 - zero
        self._full_ma = full_ma
        self._peak = 0
        self._off_peak = 0
        self._on_ms = 0
        self._has_fired = False

    def serve(self, now_ms: int, is_on: int) -> None:
        # Called with every turn of the main loop, before it decides the next slot.
        swing = self._adc.read_u16() - self._zero
        if swing < 0:
            swing = -swing
        if is_on:
            self._on_ms = now_ms
            self._has_fired = True
            self._peak = max(self._peak, swing)
        elif now_ms - self._on_ms >= SETTLED_MS:
            self._off_peak = max(self._off_peak, swing)

    def take_ma(self) -> int:
        # Negative: what flowed in the off-slots of a heater that was being fired.
        on_ma, off_ma = self._ma(self._peak), self._ma(self._off_peak)
        leaks = self._has_fired and off_ma > CURRENT_MA
        found_ma = -off_ma if leaks else max(on_ma, off_ma)
        self._peak = 0
        self._off_peak = 0
        self._has_fired = False
        return found_ma

    def _ma(self, peak: int) -> int:
        # full_ma <= 60,000 and 13 bits of swing stay below 2^30.
        return (peak >> 3) * self._full_ma // (self._span >> 3)
