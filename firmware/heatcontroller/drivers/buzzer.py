# Patterns on an active buzzer (it makes its own tone), served from the main loop: nobody waits.

# Milliseconds on, off, on, off ...
HEAT = (80, 120, 80, 120)
WAIT = (150, 150, 150, 800)
DOOR = (200, 100, 200, 100, 200, 100)
DONE = (600, 200, 600, 200)
TRIP = (400, 200, 400, 200, 400, 200, 400, 200, 400, 200)


class Buzzer:
    def __init__(self, pin) -> None:
        self._pin = pin
        self._pattern = HEAT
        self._step = 0
        self._since_ms = 0
        self.playing = False
        pin(0)

    def play(self, now_ms: int, pattern) -> None:
        self._pattern = pattern
        self.playing = True
        self._enter(0, now_ms)

    def hush(self) -> None:
        self.playing = False
        self._pin(0)

    def serve(self, now_ms: int) -> None:
        if self.playing and now_ms - self._since_ms >= self._pattern[self._step]:
            if self._step + 1 < len(self._pattern):
                self._enter(self._step + 1, now_ms)
            else:
                self.hush()

    def _enter(self, step: int, now_ms: int) -> None:
        self._step = step
        self._since_ms = now_ms
        self._pin(1 - (step & 1))
