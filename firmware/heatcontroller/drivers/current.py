# Heater current from an analogue input. The sensor's output may be rectified or still alternating
# about its zero: the largest swing since the last reading serves both, in mA RMS of a sine.

FULL_U16 = 65535


class CurrentSensor:
    def __init__(self, adc, zero: int, full_ma: int) -> None:
        self._adc = adc
        self._zero = zero
        self._span = FULL_U16 - zero
        self._full_ma = full_ma
        self._peak = 0

    def serve(self) -> None:
        # Called with every turn of the main loop: a few dozen samples to a tick.
        swing = self._adc.read_u16() - self._zero
        if swing < 0:
            swing = -swing
        if swing > self._peak:
            self._peak = swing

    def take_ma(self) -> int:
        # full_ma <= 60,000 and 13 bits of swing stay below 2^30.
        peak = self._peak
        self._peak = 0
        return (peak >> 3) * self._full_ma // (self._span >> 3)
