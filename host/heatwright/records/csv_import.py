"""Foreign CSV into arrays: time in s, temperatures in C, duty 0..1; nonsense is refused."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import get_args

import numpy as np

from heatwright import sentences
from heatwright.documents.source import Placing
from heatwright.errors import BadInput, Fault
from heatwright.records import csv_checks, csv_times
from heatwright.records.csv_columns import TEMPERATURES, Asked, Column, Layout, lay_out
from heatwright.records.csv_text import Row, Sheet, read_sheet
from heatwright.records.csv_times import Read
from heatwright.records.units import Floats

MISSING = {"", "-", "--", "---", "nan", "null", "none", "n/a", "na", "open", "error"}
DOOR = {
    "0": 0.0, "1": 1.0, "shut": 0.0, "closed": 0.0, "open": 1.0, "opened": 1.0,
    "false": 0.0, "true": 1.0, "no": 0.0, "yes": 1.0, "0.0": 0.0, "1.0": 1.0,
}  # fmt: skip
TO_C: dict[str, Callable[[Floats], Floats]] = {
    "C": lambda value: value,
    "F": lambda value: (value - 32.0) / 1.8,
    "K": lambda value: value - 273.15,
}
_UNIT_BEHIND = re.compile(r"\s*(°?\s?[CFK]|deg\s?[CFK]|%|m?s|sec|min)$", re.IGNORECASE)
_NUMBER = re.compile(r"[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d{1,3})?")
TOLD_LINES = 3


@dataclass(frozen=True)
class Table:
    """What a foreign CSV holds, one entry a row; NaN where a cell or a whole column is missing.

    ``time_s`` starts at 0 and rises strictly. ``lines`` are the lines of the file that the rows
    stand on. ``started`` is the moment of the first row where the file says it (ISO 8601);
    ``placing`` where the sensor sat, where a column says that.
    """

    path: Path
    time_s: Floats
    sensor_c: Floats
    board_c: Floats
    duty: Floats
    target_c: Floats
    door: Floats
    lines: tuple[int, ...]
    columns: tuple[Column, ...]
    unused: tuple[str, ...]
    separator: str
    decimal_comma: bool
    started: str | None
    placing: str | None

    def has(self, field: str) -> bool:
        return any(column.field == field for column in self.columns)


NOTHING_ASKED = Asked({})


def read_csv(path: Path, asked: Asked = NOTHING_ASKED) -> Table:
    """Read the CSV of one run, written by another program.

    ``asked`` names columns and units where the headers do not say them. Columns ``time_s``,
    ``duty``, ``sensor_c``, ``board_c``, ``door`` are understood as they are.

    Raises:
        BadInput: all faults at once: no such columns, cells that are no numbers, time that does
            not rise, units that can't be right, columns that look swapped.
    """
    table, faults = _read(path, asked)
    faults += csv_checks.faults(table)
    if faults:
        raise BadInput(*faults)
    return replace(table, duty=np.minimum(table.duty, 1.0))


def read_table(path: Path, asked: Asked = NOTHING_ASKED) -> Table:
    """As `read_csv`, but what the numbers say is not held against anything: times may stand still,
    fall or be missing. For rooms that have checks of their own."""
    table, faults = _read(path, asked)
    if faults:
        raise BadInput(*faults)
    return table


def _read(path: Path, asked: Asked) -> tuple[Table, list[Fault]]:
    sheet = read_sheet(path)
    return _table(path, sheet, lay_out(path, sheet, asked))


@dataclass
class _Reader:
    """Reads one column after the other and keeps what is wrong with each."""

    path: Path
    rows: list[Row]
    decimal_comma: bool
    faults: list[Fault]

    def number(self, text: str) -> float | None:
        """A plain number, its unit behind it or not; None for anything else."""
        plain = _UNIT_BEHIND.sub("", text.replace("\xa0", " ").strip())
        if self.decimal_comma:
            plain = plain.replace(",", ".")
        value = float(plain) if _NUMBER.fullmatch(plain) else math.inf
        return value if math.isfinite(value) else None

    def texts(self, column: Column) -> list[str]:
        return [
            row.cells[column.index] if column.index < len(row.cells) else "" for row in self.rows
        ]

    def fills(self, column: Column) -> bool:
        """Whether there is anything in this column: an empty one is as good as none."""
        return any(self.texts(column))

    def read(self, column: Column, texts: list[str], read: Read) -> Floats:
        """The column's values, NaN where missing; a fault names the lines that are neither."""
        values, wrong = [], []
        for row, text in zip(self.rows, texts, strict=True):
            value = read(text)
            if value is None and text.casefold() not in MISSING:
                wrong.append((row.line, text))
            values.append(math.nan if value is None else value)
        if wrong:
            self.faults.append(self._wrong_cells(column, wrong))
        return np.array(values, dtype=float)

    def _wrong_cells(self, column: Column, wrong: list[tuple[int, str]]) -> Fault:
        told = "; ".join(f"line {line}: {text[:40]!r}" for line, text in wrong[:TOLD_LINES])
        more = f"; {len(wrong) - TOLD_LINES} more" if len(wrong) > TOLD_LINES else ""
        return Fault(
            sentences.CSV_NOT_A_VALUE,
            f"{self.path}, column {column.header}",
            told + more,
            sentences.CSV_VALUES[column.field if column.field in ("time", "door") else ""],
            sentences.CSV_NOT_A_VALUE_CURE,
        )


def _table(path: Path, sheet: Sheet, layout: Layout) -> tuple[Table, list[Fault]]:
    rows = sheet.rows[layout.first_row :]
    comma = sheet.separator != "," and _has_decimal_comma(rows, layout)
    reader = _Reader(path, rows, comma, [])
    columns = {name: c for name, c in layout.columns.items() if name == "time" or reader.fills(c)}
    time_s = _times(reader, columns)
    values = {name: _values(reader, columns.get(name)) for name in (*TEMPERATURES, "duty")}
    first_s = next((time for time in time_s.tolist() if math.isfinite(time)), 0.0)
    table = Table(
        path=path,
        time_s=time_s - first_s,
        sensor_c=values["sensor"],
        board_c=values["board"],
        duty=_knob(reader, columns["knob"]) if _by_hand(columns) else values["duty"],
        target_c=values["target"],
        door=_door(reader, columns.get("door")),
        lines=tuple(row.line for row in rows),
        columns=tuple(columns.values()),
        unused=layout.unused,
        separator=sheet.separator,
        decimal_comma=comma,
        started=csv_times.started(first_s),
        placing=_placing(reader, columns.get("where")),
    )
    return table, reader.faults


def _has_decimal_comma(rows: list[Row], layout: Layout) -> bool:
    indices = [column.index for column in layout.columns.values()]
    cells = [row.cells[index] for row in rows for index in indices if index < len(row.cells)]
    return any("," in cell and re.fullmatch(r"[-+]?\d+,\d+\D*", cell) for cell in cells)


def _times(reader: _Reader, columns: dict[str, Column]) -> Floats:
    column = columns["time"]
    texts = reader.texts(column)
    first = next((text for text in texts if text), "")
    if "date" in columns and csv_times.clock(first) is not None:
        dates = reader.texts(columns["date"])
        texts = [f"{date} {text}".strip() for date, text in zip(dates, texts, strict=True)]
    read = csv_times.reading_of(texts, reader.number, column.unit)
    times_s = reader.read(column, texts, read)
    if read is csv_times.clock:
        return np.array(csv_times.over_midnight(times_s.tolist()))
    return times_s


def _values(reader: _Reader, column: Column | None) -> Floats:
    if column is None:
        return np.full(len(reader.rows), np.nan)
    value = reader.read(column, reader.texts(column), reader.number)
    if column.field == "duty":
        return value / 100.0 if column.unit == "percent" else value
    return TO_C[column.unit or "C"](value)


def _by_hand(columns: dict[str, Column]) -> bool:
    return "knob" in columns and "duty" not in columns


def _knob(reader: _Reader, column: Column) -> Floats:
    """A knob's position, nought being off, stands for duty: its highest is taken as full heat."""
    position = reader.read(column, reader.texts(column), reader.number)
    known = position[np.isfinite(position)]
    highest = float(known.max()) if known.size else 0.0
    return position / highest if highest > 0 else position


def _placing(reader: _Reader, column: Column | None) -> str | None:
    """One place for the whole run, as a source document would say it; any other is a fault."""
    said = {} if column is None else {text: None for text in reader.texts(column) if text}
    if column is None or not said:
        return None
    if len(said) == 1 and next(iter(said)) in get_args(Placing):
        return next(iter(said))
    reader.faults.append(
        Fault(
            sentences.CSV_NOT_A_PLACE,
            f"{reader.path}, column {column.header}",
            ", ".join(list(said)[:TOLD_LINES]),
            ", ".join(get_args(Placing)),
            sentences.CSV_NOT_A_PLACE_CURE,
        )
    )
    return None


def _door(reader: _Reader, column: Column | None) -> Floats:
    if column is None:
        return np.full(len(reader.rows), np.nan)
    return reader.read(column, reader.texts(column), lambda text: DOOR.get(text.casefold()))
