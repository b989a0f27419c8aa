"""A plan by the clock, where nothing measures: a rehearsal on the source as its file has it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from random import Random

from heatwright import sentences
from heatwright.coaching.advice import CHANGE_S, Advice
from heatwright.coaching.advisor import Advisor
from heatwright.coaching.ahead import HAND_S
from heatwright.coaching.coach import Seen
from heatwright.coaching.knob import Hand
from heatwright.coaching.person import Manner, Person
from heatwright.coaching.rehearsal import rehearse
from heatwright.documents import Paste, Source

LIFTS = ("lift", "too_hot")
LIFTED_STAGE = 4
# Somebody who always takes as long as the coach expects: no chance in the plan.
STEADY_HAND = Manner((HAND_S, HAND_S), 0.0, (0.8, 0.8))
# A source 15 % weaker than its file melts paste about so much later. Longer than that nobody waits
# for a mark: by then a source as strong as its file has an overheated board on it.
PATIENCE = 0.15
REMIND_S = 15.0


@dataclass(frozen=True)
class Plan:
    """What to do when, and when the board ought to melt; patience as a share of the time to it."""

    advice: tuple[Advice, ...]
    melts_at_s: float
    patience: float = 0.0


def timed_plan(source: Source, paste: Paste, patience: float = 0.0) -> Plan:
    """From the first turn of the knob to putting the board down."""
    params = source.plant_params()
    coach = Advisor(source, paste, models=[params])
    run = rehearse(coach, params, Person(Random(0), STEADY_HAND), 0)
    melted = (t for t, c in zip(run.time_s, run.board, strict=True) if c >= coach.course.melts_c)
    return Plan(tuple(run.advice), next(melted, run.time_s[-1]), patience)


class Timed:
    """Says a timed plan. It sees nothing but the person's mark of the melt, and goes by that."""

    def __init__(self, source: Source, paste: Paste, plan: Plan) -> None:
        self.hand = Hand(source, paste)
        self._plan = plan
        self._left = list(plan.advice)
        self._said: Advice | None = None
        self._turn: Advice | None = None
        # what was left at the mark and where the knob was, for one that is taken back
        self._unmarked: list[Advice] = []
        self._turn_unmarked: Advice | None = None
        self._is_lifted = self._is_marked = False

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

    def mark(self, now_s: float) -> None:
        """It melts now: what is left takes as much longer or shorter as all before it took."""
        if self._is_marked or self._is_lifted:
            return
        self._is_marked = True
        self._unmarked, self._turn_unmarked = list(self._left), self._turn
        melts_at_s = self._plan.melts_at_s
        pace = now_s / melts_at_s
        self._left = [
            *self._overtaken(now_s),
            *(
                replace(one, at_s=now_s + pace * (one.at_s - melts_at_s))
                for one in self._left
                if one.at_s > melts_at_s
            ),
        ]

    def unmark(self) -> None:
        """The plan goes on as if it had not been marked, the knob first where it was by then."""
        if self._is_marked and not self._is_lifted:
            before = self._turn_unmarked
            is_moved = before is not None and before is not self._turn
            self._is_marked = False
            self._left = [*([before] if before and is_moved else []), *self._unmarked]

    def _overtaken(self, now_s: float) -> list[Advice]:
        """Of what a source stronger than its file did not come to: the knob's last place."""
        turns = [
            one for one in self._left if one.kind == "knob" and one.at_s <= self._plan.melts_at_s
        ]
        return [replace(one, at_s=now_s) for one in turns[-1:]]

    def tell(self, seen: Seen) -> Advice | None:
        """The next advice once its time has come; before the lift it waits for the mark."""
        if not self._left or seen.now_s < self._left[0].at_s or self._is_hasty(seen.now_s):
            return None
        if self._waits(seen.now_s):
            return self._remind(seen.now_s)
        self._said = replace(self._left.pop(0), at_s=seen.now_s)
        self._is_lifted = self._is_lifted or self._said.kind in LIFTS
        self._turn = self._said if self._said.kind == "knob" else self._turn
        return self._said

    def _is_hasty(self, now_s: float) -> bool:
        """A plan that was re-timed has its advice closer together than a person follows."""
        said = self._said is not None and now_s - self._said.at_s < CHANGE_S
        return said and not self._left[0].is_danger

    def _waits(self, now_s: float) -> bool:
        if self._is_marked or self._is_lifted or self._plan.patience == 0.0:
            return False
        until_s = self._plan.melts_at_s * (1.0 + self._plan.patience)
        return self._left[0].kind in ("ready", "countdown", "lift") and now_s < until_s

    def _remind(self, now_s: float) -> Advice | None:
        if self._said and now_s - self._said.at_s < REMIND_S:
            return None
        # the same sentence twice would look like none
        is_asked = self._said is not None and self._said.text == sentences.COACH_NO_MELT
        text = sentences.COACH_MELT if is_asked else sentences.COACH_NO_MELT
        self._said = Advice(now_s, "melt", text)
        return self._said
