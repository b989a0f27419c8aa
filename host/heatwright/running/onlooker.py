"""Somebody who stands beside a simulated source and marks the melt at the instant it is seen."""

from __future__ import annotations

from collections.abc import Iterator

from heatwright.records.lines import TRUTH, TRUTH_FIELDS
from heatwright.running.session import Orders, Watch
from heatwright.running.target import Line

# From grey grains that run together to the key pressed: an alert person, from memory.
REACTION_MS = 2000
SMALL, NOW = TRUTH_FIELDS.index("small_mc") + 1, TRUTH_FIELDS.index("now_ms") + 1


class Onlooker:
    """The watch and the orders of a run in one; of the truth it sees the smallest joints only."""

    def __init__(self, show: Watch, person: Orders, liquidus_c: float) -> None:
        self._show = show
        self._person = person
        self._liquidus_mc = round(1000 * liquidus_c)
        self._melted_ms: int | None = None
        self._now_ms = 0
        self._has_marked = False

    def __call__(self, line: Line) -> None:
        self._show(line)
        if line[0] == TRUTH:
            self._now_ms = line[NOW]
            if self._melted_ms is None and line[SMALL] >= self._liquidus_mc:
                self._melted_ms = line[NOW]

    def waiting(self) -> Iterator[str]:
        yield from self._person.waiting()
        seen = self._melted_ms is not None and self._now_ms - self._melted_ms >= REACTION_MS
        if seen and not self._has_marked:
            self._has_marked = True
            yield "mark"
