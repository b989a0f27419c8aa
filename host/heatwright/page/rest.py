"""After a run: how hot it still is, until the board may be picked up; clearing a safety stop."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from typing import Any, Protocol

from heatcore.inputs import NONE
from heatwright import sentences
from heatwright.page.board_now import BoardNow, Watcher
from heatwright.page.last_read import LastRead, reading_c
from heatwright.page.now import SAFE_C
from heatwright.records.lines import SAMPLE, named
from heatwright.running.target import Line, Refused

LOOK_S = 0.5
# Sand in its pan takes longest.
LONGEST_S = 3 * 3600.0
# What the controller answers where a button is wired: look at the source first.
AT_BUTTON = "at_button"


Play = Callable[[str, Any], None]


class Page(Protocol):
    """What this needs of the wire to the page."""

    there: bool

    def orders(self) -> Iterator[tuple[str, Any]]: ...

    def send(self, news: dict[str, Any]) -> None: ...


class Resting(Protocol):
    """What this needs of a controller."""

    @property
    def trip(self) -> str: ...

    def heard(self) -> Line | None: ...

    def look(self) -> None: ...

    def ask(self, verb: str, *words: str | int) -> None: ...


@dataclass
class Rest:
    """Looks at a controller at rest and tells; ``far``: pages may be open on other devices.

    ``last`` is what its run has read.
    """

    target: Resting
    watcher: Watcher
    far: bool
    last: LastRead = field(default_factory=LastRead)
    said: str = ""
    _press: int = NONE

    def watch(
        self,
        page: Page,
        play: Play = lambda verb, word: None,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        """Tell now and then until the board is cold and nothing is left to clear.

        ``play`` takes the orders that are not for the controller.
        """
        end_s, due_s = clock() + LONGEST_S, 0.0
        while page.there and clock() < end_s:
            self._take(page, play)
            seen = self._look()
            if seen is None or clock() < due_s:
                continue
            due_s = clock() + LOOK_S
            self.target.look()
            told = self._told(*seen)
            page.send({"rest": told})
            if told["safe"] and not told["trip"]:
                return

    def _take(self, page: Page, play: Play) -> None:
        for verb, word in page.orders():
            if verb == "clear":
                self.said = self._clear()
            else:
                play(verb, word)

    def _look(self) -> tuple[BoardNow, float | None] | None:
        """The board and the sensor of the next sample; None where none came."""
        line = self.target.heard()
        if line is None or line[0] != SAMPLE:
            return None
        sample = named(line)
        self._press = sample["press"]
        self.last.see(sample)
        return self.watcher.see(sample), reading_c(sample)

    def _clear(self) -> str:
        if self.far and self._press == NONE:
            return sentences.PAGE_NOT_FROM_FAR
        try:
            self.target.ask("clear")
        except Refused as refused:
            return sentences.PAGE_CLEAR_AT_BUTTON if refused.code == AT_BUTTON else refused.text
        return ""

    def _told(self, board: BoardNow, sensor_c: float | None) -> dict[str, Any]:
        trip = self.target.trip
        shown = self.last.shown(board, sensor_c)
        return {
            "number": shown.number,
            "kind": shown.kind,
            "old": not shown.is_present,
            "words": _words(board, sensor_c),
            "safe": _is_safe(board, sensor_c),
            "trip": trip.replace("_", " "),
            "said": self.said if trip else "",
        }


def _is_safe(board: BoardNow, sensor_c: float | None) -> bool:
    """Whether the board is below 50 °C, as far as is known; an estimate with its doubt.

    What is estimated while nothing measures would not know of a relay that is welded.
    """
    if sensor_c is None:
        return False
    if board.board_c is None:
        return sensor_c < SAFE_C
    return board.board_c + (board.band_k if board.origin == "estimated" else 0.0) < SAFE_C


def _words(board: BoardNow, sensor_c: float | None) -> str:
    if sensor_c is None:
        return sentences.PAGE_REST["blind"]
    if not _is_safe(board, sensor_c):
        return sentences.PAGE_REST["hot"]
    return sentences.PAGE_REST["sensor_only" if board.board_c is None else "safe"]
