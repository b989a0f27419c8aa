"""All that lies on the bench for one board: its paste, itself, its parts with their places."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import NamedTuple

from heatwright.documents.board import Board
from heatwright.documents.library import load_board, load_part, load_parts, locate
from heatwright.documents.part import Part
from heatwright.documents.paste import Paste


class Fitted(NamedTuple):
    """One kind of part on one side of the board, with its names there."""

    part: Part
    refs: tuple[str, ...] = ()
    side: str = "top"

    @property
    def name(self) -> str:
        """The part as a person knows it: ``U1 (Microcontroller)``, or its name alone."""
        return f"{', '.join(self.refs)} ({self.part.name})" if self.refs else self.part.name


@dataclass(frozen=True)
class Bench:
    """Paste, board and parts of one run; what nobody wrote down is None or empty."""

    paste: Paste
    board: Board | None = None
    fitted: tuple[Fitted, ...] = ()


def load_bench(paste: Paste, board: str | Path | None, parts: Sequence[str | Path] = ()) -> Bench:
    """The board with the parts it names, and further parts. Raises `BadInput` with all faults."""
    further = tuple(Fitted(load_part(name)) for name in parts)
    if board is None:
        return Bench(paste, None, further)
    loaded = load_board(board)
    found = load_parts(loaded, locate("board", board).parent)
    return bench_of(paste, loaded, found, further)


def bench_of(
    paste: Paste, board: Board, parts: Sequence[Part], further: Sequence[Fitted] = ()
) -> Bench:
    """A board with the part of each of its placements, in their order."""
    fitted = [
        Fitted(part, tuple(placement.refs), placement.side)
        for part, placement in zip(parts, board.placements, strict=True)
    ]
    return Bench(paste, board, (*fitted, *further))
