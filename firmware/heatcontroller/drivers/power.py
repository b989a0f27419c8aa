# The two heater outputs: solid-state relay, and the safety relay in series with it. Both are plain
# pins that only this code raises, slot by slot: when Python stops, the firing stops.

RELAY_LEAD_MS = 200  # contacts close and stop bouncing before the first firing
RELAY_TAIL_MS = 500  # contacts open without current: the last half-cycle has long ended


class NoPower:
    # For a controller without outputs, and for boots that never heat.

    has_two = False
    is_firing = 0

    def close_ssr(self) -> None:
        pass

    def want(self, relay: int, duty: int) -> None:
        pass

    def off(self) -> None:
        pass

    def serve(self, now_ms: int) -> None:
        pass


class Power:
    def __init__(self, ssr, relay, firing, cutoff, has_two: bool = True) -> None:
        self.has_two = has_two
        self.is_firing = 0
        self._alone = 0
        self._alone_next = 0
        self._ssr = ssr
        self._relay = relay
        self._firing = firing
        self._cutoff = cutoff
        self._relay_wanted = 0
        self._duty = 0
        self._is_closed = 0
        self._closed_ms = 0
        self._fired_ms = 0
        self.off()

    def want(self, relay: int, duty: int) -> None:
        self._relay_wanted = relay
        self._duty = duty if relay else 0
        self._alone = self._alone_next
        self._alone_next = 0

    def close_ssr(self) -> None:
        # For the proof at arming: with the relay open, from the next want() to the one after it.
        self._alone_next = 1

    def off(self) -> None:
        # A trip, a stop, a lapsed lease: both at once, the solid-state relay first.
        self._ssr(0)
        self._relay(0)
        self._alone_next = 0
        self.want(0, 0)
        self._is_closed = 0
        self.is_firing = 0

    def serve(self, now_ms: int) -> None:
        if not self._cutoff.allows(now_ms):
            self.off()
        elif self._relay_wanted:
            self._heat(now_ms)
        elif self._is_closed:
            self._end(now_ms)
        else:
            self._ssr(self._alone)

    def _heat(self, now_ms: int) -> None:
        if not self._is_closed:
            self._relay(1)
            self._is_closed = 1
            self._closed_ms = self._fired_ms = now_ms
        is_ready = now_ms - self._closed_ms >= RELAY_LEAD_MS
        self._fire(now_ms, self._firing.level(now_ms, self._duty if is_ready else 0))

    def _end(self, now_ms: int) -> None:
        self._fire(now_ms, self._firing.level(now_ms, 0))
        if now_ms - self._fired_ms >= RELAY_TAIL_MS:
            self._relay(0)
            self._is_closed = 0

    def _fire(self, now_ms: int, level: int) -> None:
        if level or self.is_firing:
            self._fired_ms = now_ms
        self._ssr(level)
        self.is_firing = level
