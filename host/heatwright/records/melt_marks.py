"""Melt marks of a run: those pressed while it ran, and those added afterwards beside the record.

The record itself is never touched, so that its hash and its replay stay what they were: later marks
stand in a file of their own, append-only too, a line each with its CRC. Taking one back is a line.
"""

from __future__ import annotations

import os
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Literal

from heatcore import codes, line
from heatwright import sentences
from heatwright.errors import BadInput, Fault
from heatwright.records.reader import Record

MARK, UNDO = "m", "u"
BESIDE = ".marks.txt"
Seen = Literal["first_melt", "last_melt", "not_melted"]
SEEN: tuple[Seen, ...] = ("first_melt", "last_melt", "not_melted")


@dataclass(frozen=True)
class Mark:
    """What a person saw, when; ``alloy`` is empty where the run's own paste is meant.

    ``number`` counts the marks made afterwards from 1; 0 was pressed while the run went on.
    """

    time_s: float
    seen: Seen
    alloy: str = ""
    forced: bool = False
    number: int = 0


def beside(record: Path) -> Path:
    """Where the marks made afterwards stand: ``record.marks.txt``."""
    return record.with_suffix(BESIDE)


def marks_of(record: Record) -> list[Mark]:
    """Every mark of this run that still stands, in the order of time."""
    return sorted([*_pressed(record), *_added(record.path)], key=lambda mark: mark.time_s)


def stands(record: Record, mark: Mark) -> bool:
    """Whether this very mark, pressed or made afterwards, stands in the run already."""
    same = (round(1000 * mark.time_s), mark.seen, mark.alloy)
    return any((round(1000 * m.time_s), m.seen, m.alloy) == same for m in marks_of(record))


def add(record: Path, mark: Mark) -> Mark:
    """Append a mark; returns it with its number. Raises `BadInput` where it can't be written."""
    numbered = replace(mark, number=_last_number(record) + 1)
    fields = (numbered.number, round(1000 * mark.time_s), mark.seen, mark.alloy, int(mark.forced))
    _append(record, [MARK, *fields])
    return numbered


def undo(record: Path) -> Mark:
    """Take the latest mark made afterwards back. Raises `BadInput` where there is none."""
    standing = _added(record)
    if not standing:
        raise BadInput(Fault(sentences.NO_MARK, str(record), cure=sentences.NO_MARK_CURE))
    latest = max(standing, key=lambda mark: mark.number)
    _append(record, [UNDO, latest.number])
    return latest


def _pressed(record: Record) -> list[Mark]:
    """The first press is the first melt, any later one the last. Giving up waiting is no mark."""
    pressed: list[Mark] = []
    for event in record.events:
        if event.code == codes.EVENT_MARK:
            first = not any(mark.seen != "not_melted" for mark in pressed)
            pressed.append(Mark(event.time_s, "first_melt" if first else "last_melt"))
        elif event.code == codes.EVENT_NOT_MELTED and event.seen:
            pressed.append(Mark(event.time_s, "not_melted"))
        elif event.code == codes.EVENT_UNMARK:
            _take_back(pressed)
    return pressed


def _take_back(pressed: list[Mark]) -> None:
    melted = [mark for mark in pressed if mark.seen != "not_melted"]
    if melted:
        pressed.remove(melted[-1])


def _added(record: Path) -> list[Mark]:
    standing: dict[int, Mark] = {}
    for kind, *rest in _lines(record):
        if kind == MARK and (mark := _mark(rest)):
            standing[mark.number] = mark
        elif kind == UNDO and rest and type(rest[0]) is int:
            standing.pop(rest[0], None)
    return list(standing.values())


def _mark(rest: list[object]) -> Mark | None:
    """A mark from its line's values, None for one that another version wrote."""
    match rest:
        case [int(number), int(at_ms), str(seen), str(alloy), int(forced)] if seen in SEEN:
            kind = next(one for one in SEEN if one == seen)
            return Mark(at_ms / 1000, kind, alloy, bool(forced), number)
    return None


def _last_number(record: Path) -> int:
    numbers = [rest[0] for kind, *rest in _lines(record) if kind == MARK]
    return max((number for number in numbers if isinstance(number, int)), default=0)


def _lines(record: Path) -> list[list[object]]:
    """Good lines only; a line that was cut is no mark."""
    try:
        pieces = beside(record).read_bytes().splitlines(keepends=True)
    except FileNotFoundError:
        return []
    except OSError as error:
        raise _closed(record, error) from error
    return [values for piece in pieces if (values := line.decode(piece))]


def _append(record: Path, values: list[object]) -> None:
    try:
        file = os.open(beside(record), os.O_WRONLY | os.O_CREAT | os.O_APPEND, 0o644)
        try:
            os.write(file, line.encode(values))
            os.fsync(file)
        finally:
            os.close(file)
    except OSError as error:
        raise _closed(record, error) from error


def _closed(record: Path, error: OSError) -> BadInput:
    return BadInput(Fault(sentences.MARKS_CLOSED, str(beside(record)), str(error.strerror)))
