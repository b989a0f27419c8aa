"""All parts of a board in one file, as it is copied into a run's folder: a table for each part.

The table's name is what the board's placements call the part.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import tomlkit

from heatwright.documents.bench import Bench, Fitted
from heatwright.documents.board import Board
from heatwright.documents.part import Part
from heatwright.documents.paste import Paste
from heatwright.documents.reading import parse_document, read_document, read_text
from heatwright.documents.syntax import parse
from heatwright.errors import BadInput


def parts_text(board: Board, parts: Mapping[str, Part]) -> str:
    """The parts of a board as TOML; ``parts`` holds them by the name in the placements."""
    names = dict.fromkeys(placement.part for placement in board.placements)
    return tomlkit.dumps({name: _plain(parts[name]) for name in names})


def _plain(part: Part) -> dict[str, object]:
    return part.model_dump(exclude_defaults=True, exclude_none=True)


def read_parts(path: Path) -> dict[str, Part]:
    """Every part of such a file by its name. Raises `BadInput` with all faults."""
    parsed = parse(read_text(path), str(path))
    faults = list(parsed.faults)
    parts = {}
    for name, table in (parsed.data or {}).items():
        try:
            parts[name] = parse_document(Part, tomlkit.dumps(table), f"{path} [{name}]")
        except BadInput as error:
            faults += error.faults
    if faults:
        raise BadInput(*faults)
    return parts


def kept_bench(paste: Paste, board_at: Path, parts_at: Path) -> Bench:
    """The bench of a run's folder; a part that is not in its parts file is left out."""
    board = read_document(Board, board_at)
    parts = read_parts(parts_at) if parts_at.is_file() else {}
    known = [one for one in board.placements if one.part in parts]
    fitted = [Fitted(parts[one.part], tuple(one.refs), one.side) for one in known]
    return Bench(paste, board, tuple(fitted))
