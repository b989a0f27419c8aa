"""What the models say of the time ahead: when the board must go, and what a turn leads to."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from heatwright.coaching.course import Course
from heatwright.coaching.follower import STEP_S, Follower, rows_of
from heatwright.coaching.knob import Hand

# A hand takes 3 to 12 s; what is asked for is taken to be done after this.
HAND_S = 6.0
# A hand that is ready lifts so long after the call.
ACT_S = 1.5
# The board is lifted, and what it climbs by itself shows, within this.
LIFTING_S = 20.0
LOOK_AHEAD_S = 60.0
NEAR_K = 50.0


class Stand(NamedTuple):
    """Where the knob is, what was asked for, and how long until the hand has done that."""

    taken: int
    asked: int
    hand_s: float


class Ahead:
    """Looks ahead for one hand on one course."""

    def __init__(self, hand: Hand, course: Course) -> None:
        self._hand, self._course = hand, course

    def until_lift(self, follower: Follower, stand: Stand, setting: int) -> float:
        """Seconds until the board must go, this being asked for, for its peak to be the wanted."""
        if follower.board_c < self._course.aim_c - NEAR_K:
            return math.inf
        now = self._hand.effect(stand.taken, False)
        last = (ACT_S, now), (LIFTING_S, self._hand.effect(setting, True))
        lifted_c = follower.board_ahead(rows_of(last))
        rises_k = float(lifted_c.max() - lifted_c[0])
        hand_s = HAND_S if setting != stand.asked else stand.hand_s
        rows = rows_of([(hand_s, now), (LOOK_AHEAD_S, self._hand.effect(setting, False))])
        return _first_s(follower.board_ahead(rows) >= self._course.aim_c - rises_k)

    def until_hottest(self, follower: Follower, stand: Stand, limit_c: float) -> float:
        """Seconds until the board may be as hot as that, by the model that is hottest."""
        if follower.hottest_c < limit_c - NEAR_K:
            return math.inf
        now = self._hand.effect(stand.taken, False)
        return _first_s(follower.hottest_ahead(rows_of([(LOOK_AHEAD_S, now)])) >= limit_c)

    def ends_c(self, follower: Follower, stand: Stand, time_s: float) -> list[float]:
        """Where the board will be after that time, for each position but off."""
        positions = range(1, len(self._hand.settings))
        return [self._end_c(follower, stand.taken, at, time_s) for at in positions]

    def _end_c(self, follower: Follower, taken: int, at: int, time_s: float) -> float:
        first = (HAND_S, self._hand.effect(taken, False))
        then = (time_s - HAND_S, self._hand.effect(at, False))
        return float(follower.board_ahead(rows_of([first, then]))[-1])


def _first_s(there: np.typing.NDArray[np.bool_]) -> float:
    reached = np.flatnonzero(there)
    return float(reached[0]) * STEP_S if reached.size else math.inf
