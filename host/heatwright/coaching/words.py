"""The advice of a run in the words of its source: a board is lifted, a gun is taken away."""

from __future__ import annotations

from typing import NamedTuple

from heatwright import sentences as s
from heatwright.coaching.gun import is_gun
from heatwright.documents import Source


class Words(NamedTuple):
    """A sentence for each kind of advice but the knob's."""

    ready: str
    countdown: str
    lift: str
    too_hot: str
    off: str
    level: str
    done: str
    not_reached: str
    blind: str
    jumped: str


BOARD = Words(
    s.COACH_READY, s.COACH_COUNTDOWN, s.COACH_LIFT, s.COACH_TOO_HOT, s.COACH_HEAT_OFF,
    s.COACH_LEVEL, s.COACH_DONE, s.COACH_NOT_REACHED, s.COACH_BLIND, s.COACH_JUMPED,
)  # fmt: skip
GUN = Words(
    s.COACH_GUN_READY, s.COACH_GUN_COUNTDOWN, s.COACH_GUN_LIFT, s.COACH_GUN_TOO_HOT,
    s.COACH_GUN_OFF, s.COACH_GUN_LEVEL, s.COACH_GUN_DONE, s.COACH_GUN_NOT_REACHED,
    s.COACH_GUN_BLIND, s.COACH_READS_AIR,
)  # fmt: skip


def words_of(source: Source) -> Words:
    if is_gun(source):
        return GUN
    return BOARD if source.kind == "sand" else BOARD._replace(off=s.COACH_PLATE_OFF)
