"""What every coach is: readings in, one sentence out. It has no clock and asks nobody."""

from __future__ import annotations

from typing import NamedTuple, Protocol

from heatwright.coaching.advice import Advice
from heatwright.coaching.knob import Hand


class Seen(NamedTuple):
    """What a coach is told at one moment; ``reading_c`` is None where nothing new came."""

    now_s: float
    reading_c: float | None
    is_unplugged: bool = False


class Coach(Protocol):
    """The advisor that looks ahead, or a timed plan where nothing measures."""

    @property
    def hand(self) -> Hand: ...

    @property
    def standing(self) -> Advice | None:
        """The advice that holds now."""

    @property
    def board_c(self) -> float | None:
        """The board as far as readings and models tell; None where nothing does."""

    @property
    def is_lifted(self) -> bool:
        """Whether the board is off the heat, as far as the coach can see."""

    @property
    def stage(self) -> int:
        """The stage's number, in the order of `heatcore.codes.STAGES`."""

    @property
    def is_done(self) -> bool: ...

    def mark(self, now_s: float) -> None:
        """The person sees the solder melt; the first mark that stands is what counts."""

    def unmark(self) -> None:
        """No mark stands any more: what it moved goes back, as far as nothing was done by it."""

    def tell(self, seen: Seen) -> Advice | None:
        """Take in a moment, in order of time; returns advice that is to be said now."""
