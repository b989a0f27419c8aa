"""What a list of runs says of each: read from its folder, without reading the whole record."""

from __future__ import annotations

import json
import os
import tomllib
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from heatcore import line
from heatwright.records import folder, lines

# Header lines stand first, each at most 200 bytes.
HEAD_BYTES = 16_384
TAIL_BYTES = 2_048
# Documents and verdicts are kilobytes; what is larger is something else.
SMALL_FILE_BYTES = 1_000_000
TEXT_LENGTH = 300
# No run and no board gets there; beyond it numbers are damage.
LARGEST = 1e9


@dataclass(frozen=True)
class Facts:
    """One run in a list. What its folder does not tell is None; nothing here is judged anew.

    ``id`` is the folder's name, ``started`` ISO 8601, ``on`` what it ran on (``sim:toaster``, a
    port, ``import:FILE``), ``seconds`` the time of the last sample.
    """

    id: str
    started: str | None = None
    name: str | None = None
    on: str | None = None
    source: str | None = None
    board: str | None = None
    paste: str | None = None
    verdict: str | None = None
    sentence: str | None = None
    peak_board_c: float | None = None
    seconds: float | None = None


def facts(place: Path) -> Facts:
    """The facts of one run's folder; damage in a file leaves its facts away, never raises."""
    header = _header(place / folder.RECORD)
    verdict = _json(place / folder.VERDICT)
    return Facts(
        id=place.name,
        started=_text(header.get("started")) or _from_name(place.name),
        name=_text(header.get("name")),
        on=_text(header.get("on")),
        source=_document_name(place / folder.SOURCE),
        board=_document_name(place / folder.BOARD),
        paste=_text(verdict.get("paste")) or _document_name(place / folder.PASTE),
        verdict=_text(verdict.get("verdict")),
        sentence=_text(verdict.get("sentence")),
        peak_board_c=_number(verdict.get("peak_board_c")),
        seconds=_last_s(place / folder.RECORD),
    )


def stamp(place: Path) -> str | None:
    """Changes whenever the facts may have; None where the folder holds no record.

    Verdict and documents are put in by renaming, which moves the folder's own time.
    """
    try:
        record, own = os.stat(place / folder.RECORD), os.stat(place)
    except OSError:
        return None
    return f"{own.st_mtime_ns} {record.st_mtime_ns} {record.st_size}"


def _text(value: object) -> str | None:
    """A text without what a terminal or the index would stumble over."""
    if not isinstance(value, str) or not value:
        return None
    return "".join(one if one.isprintable() else "?" for one in value[:TEXT_LENGTH])


def _number(value: object) -> float | None:
    known = isinstance(value, int | float) and -LARGEST <= value <= LARGEST
    return float(value) if known and isinstance(value, int | float) else None


def _from_name(name: str) -> str | None:
    """A run's id begins with its time: what is left where the header is damaged."""
    day, _, rest = name.partition("-")
    clock = rest[:6]
    if not (len(day) == 8 and (day + clock).isdigit() and len(clock) == 6):
        return None
    return f"{day[:4]}-{day[4:6]}-{day[6:]}T{clock[:2]}:{clock[2:4]}:{clock[4:]}"


def _header(record: Path) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for piece in _piece(record, 0, HEAD_BYTES).split(b"\n"):
        values = line.decode(piece)
        if not values or values[0] != lines.HEADER:
            break
        if len(values) == 3 and isinstance(values[2], dict):
            found |= values[2]
    return found


def _last_s(record: Path) -> float | None:
    """The time of the last whole line that has one."""
    for piece in reversed(_piece(record, -TAIL_BYTES, TAIL_BYTES).split(b"\n")):
        values = line.decode(piece)
        if values and values[0] != lines.HEADER and len(values) > 2:
            now_ms = _number(values[2])
            return None if now_ms is None else now_ms / 1000
    return None


def _piece(path: Path, start: int, count: int) -> bytes:
    try:
        with path.open("rb") as file:
            if start < 0:
                file.seek(max(start, -os.fstat(file.fileno()).st_size), os.SEEK_END)
            return file.read(count)
    except OSError:
        return b""


def _json(path: Path) -> dict[str, Any]:
    try:
        found = json.loads(_piece(path, 0, SMALL_FILE_BYTES))
    except (ValueError, RecursionError):
        return {}
    return found if isinstance(found, dict) else {}


def _document_name(path: Path) -> str | None:
    """``name`` of a document, or what says most in its place."""
    try:
        found = tomllib.loads(_piece(path, 0, SMALL_FILE_BYTES).decode())
    except (ValueError, RecursionError):
        return None
    return next((name for key in ("name", "kind") if (name := _text(found.get(key)))), None)
