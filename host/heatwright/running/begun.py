"""A run that ended before its first second: why, since there is nothing to judge."""

from __future__ import annotations

from collections.abc import Callable

from heatcontroller.states import BY_PLAN
from heatcore import codes
from heatcore.plan import START_MAX, START_MIN, Plan
from heatwright import sentences
from heatwright.errors import EXIT_INTERRUPTED, EXIT_STOPPED, EXIT_TRIPPED, HeatwrightError
from heatwright.running.target import Line


class NotBegun(HeatwrightError):
    """Armed, and ended without heat: by a person, or outside the plan's start window."""

    def __init__(self, exit_code: int, text: str) -> None:
        self.exit_code = exit_code
        super().__init__(text)


class Begun:
    """Hands lines on to a watch; true once a sample came. ``last`` is the last event."""

    def __init__(self, watch: Callable[[Line], None]) -> None:
        self._watch = watch
        self._sampled = False
        self.last: Line = []

    def __call__(self, line: Line) -> None:
        self._sampled = self._sampled or line[0] == "s"
        if line[0] == "e":
            self.last = line
        self._watch(line)

    def __bool__(self) -> bool:
        return self._sampled


def not_begun(last: Line, plan: Plan, interrupted: bool) -> NotBegun:
    """Why nothing was heated. ``last``: the run's last event, as its line."""
    if last[3:5] == [codes.EVENT_STOP, BY_PLAN]:
        low_c, high_c = plan.start[START_MIN] / 1000, plan.start[START_MAX] / 1000
        return NotBegun(EXIT_TRIPPED, sentences.NOT_BEGUN_WINDOW.format(low=low_c, high=high_c))
    return NotBegun(EXIT_INTERRUPTED if interrupted else EXIT_STOPPED, sentences.NOT_BEGUN_STOPPED)
