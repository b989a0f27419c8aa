"""The parts that a board names must be there: shipped, or a file beside the board's own."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from heatwright import sentences
from heatwright.documents.base import Clash
from heatwright.documents.library import locate, shipped
from heatwright.errors import BadInput

PART = "part"


def parts_not_there(kind: str, data: Mapping[str, Any], beside: Path) -> list[Clash]:
    """A clash for each part that this raw board names in vain; none for any other kind.

    A board's own model can't tell: it knows of no other file.
    """
    named = _named(data) if kind == "board" else ()
    return [_clash(at, name, beside) for at, name in named if not _is_there(name, beside)]


def _named(data: Mapping[str, Any]) -> Iterator[tuple[int, str]]:
    rows = data.get("placements")
    for at, row in enumerate(rows if isinstance(rows, list) else ()):
        name = row.get(PART) if isinstance(row, Mapping) else None
        if name and isinstance(name, str):
            yield at, name


def _is_there(name: str, beside: Path) -> bool:
    try:
        return locate(PART, name, beside).is_file()
    except BadInput:
        return False


def parts_there(beside: Path) -> list[str]:
    """What a board in this folder may name: shipped parts, then the files of one's own."""
    return [*shipped(PART), *sorted(path.name for path in beside.glob(f"{PART}-*.toml"))]


def _clash(at: int, name: str, beside: Path) -> Clash:
    there, path = ", ".join(parts_there(beside)), ("placements", at, PART)
    return Clash(path, sentences.PAGE_NO_PART, name, there, sentences.PAGE_NO_PART_CURE)
