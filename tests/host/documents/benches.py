"""Benches made for the tests of checks and verdicts."""

from __future__ import annotations

from heatwright.documents import Board, Part
from heatwright.documents.bench import Bench, Fitted
from heatwright.documents.library import load_paste


def part(**values: object) -> Part:
    """A small chip; keywords replace its keys."""
    own: dict[str, object] = {
        "name": "Chip",
        "package": "QFN-24",
        "thickness_mm": 0.9,
        "length_mm": 4.0,
        "width_mm": 4.0,
    }
    return Part.model_validate(own | values)


def board(**values: object) -> Board:
    """70 x 45 mm with a stencil of 0.12 mm; keywords replace its keys."""
    own: dict[str, object] = {
        "name": "Logger",
        "length_mm": 70.0,
        "width_mm": 45.0,
        "thickness_mm": 1.6,
        "finish": "enig",
        "printing": {"method": "stencil", "thickness_mm": 0.12},
    }
    return Board.model_validate(own | values)


def bench(*parts: Part, paste: str = "sac305", sides: str = "", **of_board: object) -> Bench:
    """A bench with these parts as U1, U2, ...; ``sides`` holds t or b for each."""
    names = {"t": "top", "b": "bottom"}
    fitted = tuple(
        Fitted(one, (f"U{number + 1}",), names[(sides or "t" * len(parts))[number]])
        for number, one in enumerate(parts)
    )
    return Bench(load_paste(paste), board(**of_board), fitted)
