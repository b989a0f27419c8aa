"""Somebody must stand at real heat: its start button says so, before the run is armed."""

from __future__ import annotations

import time
from collections.abc import Callable
from contextlib import closing

from heatcore.inputs import NONE
from heatwright import sentences
from heatwright.errors import BadInput, Fault
from heatwright.records.lines import SAMPLE_FIELDS
from heatwright.running.link_client import SerialTarget

# The person who chose at the page must have been there just now.
WITHIN_S = 60.0
# Samples come four times a second.
FIRST_S = 3.0
PRESS = 1 + SAMPLE_FIELDS.index("press")


def attend(
    target: SerialTarget,
    far: bool,
    tell: Callable[[str], None],
    is_stopped: Callable[[], bool],
    clock: Callable[[], float] = time.monotonic,
) -> None:
    """Return once the button was pressed, or where none is wired and nobody is ``far`` away.

    Raises `BadInput`, the controller let go, where nobody presses or STOP is given meanwhile.
    """
    first = _press(target, clock() + FIRST_S, clock, lambda press: True)
    if first in (None, NONE):
        if far:
            _give_up(target, sentences.PAGE_NOT_FROM_FAR)
        return
    tell(sentences.PAGE_PRESS_BUTTON)
    pressed = _press(
        target, clock() + WITHIN_S, clock, lambda press: press != first or is_stopped()
    )
    if pressed == first:
        _give_up(target, sentences.PAGE_STOPPED_EARLY)
    if pressed is None:
        _give_up(target, sentences.PAGE_NOT_PRESSED)


def _press(
    target: SerialTarget,
    until_s: float,
    clock: Callable[[], float],
    is_it: Callable[[int], bool],
) -> int | None:
    """The button's counter in the first sample where it is as wanted; None: in none of them."""
    while clock() < until_s:
        one = target.heard()
        if one and one[0] == "s" and is_it(one[PRESS]):
            return int(one[PRESS])
    return None


def _give_up(target: SerialTarget, why: str) -> None:
    with closing(target):
        raise BadInput(Fault(why))
