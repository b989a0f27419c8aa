"""A simulated person: slow, and now and then not listening."""

from __future__ import annotations

import math
from dataclasses import dataclass
from random import Random

from heatwright.coaching.advice import Advice
from heatwright.coaching.knob import OFF

# A cue that is missed is noticed at its repetition, so much later.
NOTICED_S = (8.0, 15.0)
# A hand that is ready follows a countdown to within a second or so.
READY_ACT_S = (0.3, 1.8)
# Bright metal is seen, and the key pressed, so long after the board is at its liquidus.
SEEN_S = (0.5, 3.0)


@dataclass(frozen=True)
class Manner:
    """How a person acts on a cue: seconds of delay, share of cues missed."""

    delay_s: tuple[float, float] = (3.0, 12.0)
    missed: float = 0.05
    ready_s: tuple[float, float] = READY_ACT_S


USUAL = Manner()


class Eyes:
    """Sees the board melt, some time after, and presses once."""

    def __init__(self, rng: Random, melts_c: float) -> None:
        self._late_s, self._melts_c = rng.uniform(*SEEN_S), melts_c
        self._press_s = math.inf

    def press(self, now_s: float, board_c: float) -> bool:
        """Whether the key goes down now."""
        if self._press_s == math.inf and board_c >= self._melts_c:
            self._press_s = now_s + self._late_s
        is_due = now_s >= self._press_s
        self._press_s = math.nan if is_due else self._press_s
        return is_due


class Person:
    """Hears advice; `setting` and `is_lifted` are what the hand has done by now."""

    def __init__(self, rng: Random, manner: Manner = USUAL) -> None:
        self._rng = rng
        self._manner = manner
        self._turn: tuple[float, int] | None = None
        self._lift_s: float | None = None
        self._ready_s: float | None = None
        self.setting = OFF
        self.is_lifted = False

    def hear(self, advice: Advice) -> None:
        if advice.setting is not None:
            self._turn = (advice.at_s + self._delay_s(), advice.setting)
        if advice.kind == "ready":
            self._ready_s = advice.at_s + self._delay_s()
        if advice.kind in ("lift", "too_hot"):
            at_s = advice.at_s + self._lift_delay_s(advice)
            self._lift_s = at_s if self._lift_s is None else min(self._lift_s, at_s)

    def act(self, now_s: float) -> None:
        """Do by hand what is due."""
        if self._turn and now_s >= self._turn[0]:
            self.setting, self._turn = self._turn[1], None
        if self._lift_s is not None and now_s >= self._lift_s:
            self.is_lifted = True

    def _delay_s(self) -> float:
        late_s = self._rng.uniform(*NOTICED_S) if self._misses() else 0.0
        return self._rng.uniform(*self._manner.delay_s) + late_s

    def _misses(self) -> bool:
        return self._rng.random() < self._manner.missed

    def _lift_delay_s(self, advice: Advice) -> float:
        ready = self._ready_s is not None and self._ready_s <= advice.at_s
        if ready and not self._misses():
            return self._rng.uniform(*self._manner.ready_s)
        return self._rng.uniform(*self._manner.delay_s)
