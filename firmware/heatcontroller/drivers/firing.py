# Time cut into slots, each wholly on or wholly off: mains cycles, half-cycles or slow windows.
# The core's burst decides each slot. The main loop comes round a little early or late, so here the
# time really spent on is measured, and what was too much or too little goes to the next slots.

from heatcore.burst import FULL_DUTY, Burst

# A gap longer than this is no lateness but a pause: nothing of it is carried over. The lease has
# run out by then.
GAP_MAX_MS = 1000


class Firing:
    # `slots` slots in every `span_ms`: (50, 1000) for whole cycles of 50 Hz mains, (120, 1000) for
    # half-cycles of 60 Hz, (1, 2000) for windows of two seconds.

    def __init__(self, slots: int, span_ms: int) -> None:
        self._slots = slots
        self._span_ms = span_ms
        self._burst = Burst()
        self._parts = 0
        self._last_ms = 0
        self._given_ms = 0
        self._level = 0

    def level(self, now_ms: int, duty: int) -> int:
        gap_ms = min(now_ms - self._last_ms, GAP_MAX_MS)
        self._last_ms = now_ms
        begun = self._begun(gap_ms)
        if self._level:
            self._given_ms += gap_ms
        if not duty:
            self._decide(0)
        elif begun:
            self._carry_over(begun - 1, duty)
            self._decide(duty)
        return self._level

    def _decide(self, duty: int) -> None:
        self._level = self._burst.slot(duty)
        self._given_ms = 0

    def _begun(self, gap_ms: int) -> int:
        # How many slots began since the last call; the remainder keeps 60 Hz exact.
        self._parts += gap_ms * self._slots
        begun = self._parts // self._span_ms
        self._parts -= begun * self._span_ms
        return begun

    def _carry_over(self, missed: int, duty: int) -> None:
        # An on-slot was paid for as one slot; it lasted longer or shorter. Slots that passed
        # unserved while off are not made up: heat that is owed for long must not come at once.
        if self._level:
            excess = self._given_ms * self._slots - self._span_ms
            self._burst.owed += missed * duty - excess * 1000 // self._span_ms * (FULL_DUTY // 1000)
