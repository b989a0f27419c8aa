"""Reads a record back: arrays in C, K, s and 0..1, header, events; the truth kept apart."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import TypeGuard

import numpy as np
from numpy.typing import NDArray

from heatcore import line
from heatcore.inputs import NONE, OK
from heatwright import sentences
from heatwright.errors import BadInput, Fault
from heatwright.records import folder, lines, units
from heatwright.records.units import Floats

# A ten-minute run is half a megabyte; whatever is a hundred times that is no record.
LARGEST_BYTES = 64_000_000
# The core's integers have 31 bits; its hashes and sequence numbers never more than 53.
LARGEST_INTEGER = 1 << 53

Ints = NDArray[np.int64]
# Codes of events that are safety stops.
FIRST_TRIP, LAST_TRIP = 1, 99
Line = list[int]


@dataclass(frozen=True)
class Event:
    """One thing that happened; ``seen`` and ``expected`` in the unit of its code, or None."""

    time_s: float
    code: int
    seen: int | None
    expected: int | None

    @property
    def is_trip(self) -> bool:
        """Whether it is a safety stop, one that only a later firmware has a name for included."""
        return FIRST_TRIP <= self.code <= LAST_TRIP


@dataclass(frozen=True)
class Truth:
    """What the simulated plant knew. Pictures may show it; judging and learning never read it."""

    time_s: Floats
    board_c: Floats
    small_c: Floats
    large_c: Floats
    air_c: Floats


@dataclass(frozen=True)
class Record:
    """One run, as far as a person could know it, plus the truth of a simulated plant.

    All arrays have one entry a tick, in strictly rising time. A reading that is missing or not ok
    is NaN. ``raw`` and ``raw_events`` hold every field of the sample and event lines in the
    core's integers, by name.
    """

    path: Path
    header: dict[str, lines.Value]
    raw: dict[str, Ints]
    raw_events: dict[str, Ints]
    time_s: Floats
    sensor_c: Floats
    second_c: Floats
    target_c: Floats
    duty: Floats
    stage: Ints
    events: tuple[Event, ...]
    truth: Truth | None
    damaged_lines: int
    trace_sha256: str


@dataclass
class _Sorted:
    """The good lines of a record, by kind, and how many were not good."""

    header: dict[str, lines.Value]
    kinds: dict[str, list[Line]]
    trace: lines.Trace
    damaged: int = 0


def read(path: str | Path) -> Record:
    """Read a run's folder or its record.txt.

    Damaged lines (cut, garbled, out of order) are skipped and counted.

    Raises:
        BadInput: no such file, not a record, another version, or no sample in it.
    """
    record = folder.record_in(Path(path))
    sorted_lines = _sort(_pieces(record))
    _refuse_nonsense(record, sorted_lines)
    return _build(record, sorted_lines)


def _pieces(record: Path) -> list[bytes]:
    try:
        with record.open("rb") as file:
            data = file.read(LARGEST_BYTES + 1)
    except OSError as error:
        raise _not_a_record(record, str(error.strerror)) from error
    if len(data) > LARGEST_BYTES:
        raise _not_a_record(record, f"more than {LARGEST_BYTES // 1_000_000} MB")
    *whole, cut = data.split(b"\n")
    return [piece + b"\n" for piece in whole] + ([cut] if cut else [])


def _sort(pieces: Iterable[bytes]) -> _Sorted:
    found = _Sorted({}, {kind: [] for kind in lines.FIELDS}, lines.Trace())
    for piece in pieces:
        values = line.decode(piece) if piece.endswith(b"\n") else None
        if not values or not _take(found, values):
            found.damaged += 1
        else:
            found.trace.add(piece)
    return found


def _take(found: _Sorted, values: list[object]) -> bool:
    kind, rest = values[0], values[1:]
    if kind == lines.HEADER:
        return _take_header(found.header, rest)
    fields = lines.FIELDS.get(kind) if isinstance(kind, str) else None
    numbers = [value for value in rest if _is_whole(value)]
    if fields is None or len(rest) != len(fields) or len(numbers) != len(rest):
        return False
    return _take_in_order(found.kinds[str(kind)], numbers, kind != lines.EVENT)


def _is_whole(value: object) -> TypeGuard[int]:
    return type(value) is int and -LARGEST_INTEGER <= value <= LARGEST_INTEGER


def _take_header(header: dict[str, lines.Value], rest: list[object]) -> bool:
    if len(rest) != 2 or type(rest[0]) is not int or not isinstance(rest[1], dict):
        return False
    if not all(value is None or isinstance(value, str | int) for value in rest[1].values()):
        return False
    header.update(rest[1])
    header["version"] = rest[0]
    return True


def _take_in_order(kept: list[Line], numbers: Line, strictly: bool) -> bool:
    """A line that repeats or goes back in time was copied twice: it is not taken again."""
    if kept and strictly and numbers[1] <= kept[-1][1]:
        return False
    kept.append(numbers)
    return True


def _refuse_nonsense(record: Path, found: _Sorted) -> None:
    version = found.header.get("version")
    if version is None:
        raise _not_a_record(record, sentences.RECORD_NO_HEADER.format(damaged=found.damaged))
    if version != lines.VERSION:
        raise BadInput(
            Fault(
                sentences.RECORD_OF_ANOTHER_VERSION,
                str(record),
                sentences.RECORD_VERSION.format(version=version),
                sentences.RECORD_VERSION.format(version=lines.VERSION),
                sentences.RECORD_VERSION_CURE,
            )
        )
    if not found.kinds[lines.SAMPLE]:
        raise _not_a_record(record, sentences.RECORD_NO_SAMPLE.format(damaged=found.damaged))


def _not_a_record(record: Path, what_was_found: str) -> BadInput:
    return BadInput(
        Fault(
            sentences.NOT_A_RECORD,
            str(record),
            what_was_found,
            sentences.RECORD_LINES,
            sentences.NAME_A_RECORD,
        )
    )


def _columns(rows: list[Line], names: tuple[str, ...]) -> dict[str, Ints]:
    table = np.array(rows, dtype=np.int64).reshape(len(rows), len(names))
    return {name: table[:, index].copy() for index, name in enumerate(names)}


def _build(record: Path, found: _Sorted) -> Record:
    raw = _columns(found.kinds[lines.SAMPLE], lines.SAMPLE_FIELDS)
    return Record(
        path=record,
        header=found.header,
        raw=raw,
        raw_events=_columns(found.kinds[lines.EVENT], lines.EVENT_FIELDS),
        time_s=units.s_from_ms(raw["now_ms"]),
        sensor_c=_reading(raw["sensor_mc"], raw["sensor_status"]),
        second_c=_reading(raw["second_mc"], raw["second_status"]),
        target_c=units.c_from_mc(raw["y_mc"]),
        duty=units.fraction_from_duty(raw["duty"]),
        stage=raw["stage"],
        events=tuple(_event(row) for row in found.kinds[lines.EVENT]),
        truth=_truth(found.kinds[lines.TRUTH]),
        damaged_lines=found.damaged,
        trace_sha256=found.trace.hexdigest(),
    )


def _reading(value_mc: Ints, status: Ints) -> Floats:
    return units.c_from_mc(np.where(status == OK, value_mc, NONE))


def _event(row: Line) -> Event:
    _, now_ms, code, seen, expected = row
    known = [None if value == NONE else value for value in (seen, expected)]
    return Event(float(units.s_from_ms(now_ms)), code, known[0], known[1])


def _truth(rows: list[Line]) -> Truth | None:
    if not rows:
        return None
    raw = _columns(rows, lines.TRUTH_FIELDS)
    temperatures = [units.c_from_mc(raw[name]) for name in lines.TRUTH_FIELDS[2:]]
    return Truth(units.s_from_ms(raw["now_ms"]), *temperatures)
