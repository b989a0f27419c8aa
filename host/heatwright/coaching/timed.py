"""A plan by the clock, where nothing measures: a rehearsal on the source as its file has it."""

from __future__ import annotations

from random import Random

from heatwright.coaching.advice import Advice
from heatwright.coaching.advisor import HAND_S, Advisor
from heatwright.coaching.coach import Seen
from heatwright.coaching.knob import Hand
from heatwright.coaching.person import Manner, Person
from heatwright.coaching.rehearsal import rehearse
from heatwright.documents import Paste, Source

LIFTS = ("lift", "too_hot")
LIFTED_STAGE = 4
# Somebody who always takes as long as the coach expects: no chance in the plan.
STEADY_HAND = Manner((HAND_S, HAND_S), 0.0, (0.8, 0.8))


def timed_plan(source: Source, paste: Paste) -> list[Advice]:
    """What to do when, from the first turn of the knob to putting the board down."""

    params = source.plant_params()
    coach = Advisor(source, paste, models=[params])
    return rehearse(coach, params, Person(Random(0), STEADY_HAND), 0).advice


class Timed:
    """Says a timed plan; it sees nothing, and so it can't tell whether the board was lifted."""

    def __init__(self, source: Source, paste: Paste, plan: list[Advice]) -> None:
        self.hand = Hand(source, paste)
        self._left = list(plan)
        self._said: Advice | None = None
        self._is_lifted = False

    @property
    def standing(self) -> Advice | None:
        return self._said

    @property
    def board_c(self) -> None:
        """Nothing measures it."""

    @property
    def is_lifted(self) -> bool:
        """As told: nobody sees whether the hand did it."""
        return self._is_lifted

    @property
    def stage(self) -> int:
        return LIFTED_STAGE if self._is_lifted else 0

    @property
    def is_done(self) -> bool:
        return not self._left

    def tell(self, seen: Seen) -> Advice | None:
        """The next advice once its time has come."""
        if not self._left or seen.now_s < self._left[0].at_s:
            return None
        self._said = self._left.pop(0)
        self._is_lifted = self._is_lifted or self._said.kind in LIFTS
        return self._said
