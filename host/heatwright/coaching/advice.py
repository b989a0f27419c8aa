"""One thing at a time, and no dithering: what may be said when."""

from __future__ import annotations

from dataclasses import dataclass

# A person who is told two things in ten seconds does neither.
CHANGE_S = 10.0
DANGERS = frozenset({"countdown", "lift", "off", "too_hot", "sensor"})


@dataclass(frozen=True)
class Advice:
    """One sentence of at most twelve words; ``setting`` is the position that it asks for."""

    at_s: float
    kind: str
    text: str
    setting: int | None = None

    @property
    def is_danger(self) -> bool:
        """Calls that can't wait for the ten seconds."""
        return self.kind in DANGERS


class Steady:
    """Lets advice through: a new one at once where it is a danger call, else after its time."""

    def __init__(self) -> None:
        self.now: Advice | None = None
        self._changed_s = -CHANGE_S

    def may_change(self, at_s: float) -> bool:
        return at_s - self._changed_s >= CHANGE_S

    def say(self, advice: Advice) -> Advice | None:
        """The advice if it is new and may be said now."""
        same = self.now is not None and (self.now.kind, self.now.text) == (advice.kind, advice.text)
        if same or not (advice.is_danger or self.may_change(advice.at_s)):
            return None
        self.now, self._changed_s = advice, advice.at_s
        return advice

    def insist(self, advice: Advice) -> Advice:
        """A call that is repeated: it was not heard, or not yet done."""
        self.now, self._changed_s = advice, advice.at_s
        return advice
