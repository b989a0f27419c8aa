# Uptime in ms from the port's wrapping ticks. Read at least once a half-wrap (6 days on 30 bits).


class Clock:
    def __init__(self, ticks_ms, ticks_diff) -> None:
        self._ticks_ms = ticks_ms
        self._ticks_diff = ticks_diff
        self._last = ticks_ms()
        self.now_ms = 0

    def read(self) -> int:
        ticks = self._ticks_ms()
        self.now_ms += self._ticks_diff(ticks, self._last)
        self._last = ticks
        return self.now_ms

    def peek(self) -> int:
        # The time now, for an interrupt: leaves no trace.
        return self.now_ms + self._ticks_diff(self._ticks_ms(), self._last)
