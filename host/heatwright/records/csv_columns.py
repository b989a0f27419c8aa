"""Which column of a foreign CSV is what, and in which unit: told by its header or by the person."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from heatwright import sentences
from heatwright.errors import BadInput, Fault
from heatwright.records.csv_text import Row, Sheet

FIELDS = ("time", "date", "sensor", "board", "duty", "knob", "target", "door")
TEMPERATURES = ("sensor", "board", "target")
# Above a header some loggers write a page of their own settings.
PREAMBLE_ROWS = 40

UNITS = {
    "c": "C", "degc": "C", "celsius": "C", "f": "F", "degf": "F", "fahrenheit": "F",
    "k": "K", "kelvin": "K", "s": "s", "sec": "s", "secs": "s", "second": "s", "seconds": "s",
    "ms": "ms", "msec": "ms", "millis": "ms", "milliseconds": "ms", "min": "min", "mins": "min",
    "minute": "min", "minutes": "min", "%": "percent", "pct": "percent", "percent": "percent",
}  # fmt: skip
UNITS_OF = {
    "time": ("s", "ms", "min"),
    "duty": ("fraction", "percent"),
    **dict.fromkeys(TEMPERATURES, ("C", "F", "K")),
}
HEAT_WORDS = {"temp", "temperature", "thermocouple", "temperatur"}
# The first that fits counts: "board temperature" is the board's, "set temperature" the target.
WORDS: dict[str, set[str]] = {
    "": {"ambient", "room", "cold", "junction", "cj", "internal"},
    "where": {"where", "placing"},
    "door": {"door"},
    "target": {"target", "setpoint", "sp", "set", "soll"},
    "board": {"board", "pcb"},
    "sensor": HEAT_WORDS,
    "duty": {"duty", "power", "output", "heater", "pwm"},
    "knob": {"knob"},
    "date": {"date", "datum"},
    "time": {"time", "t", "elapsed", "timestamp", "datetime", "clock", "zeit"},
}
SENSOR_WORDS = {
    "sensor",
    "tc",
    "tc1",
    "oven",
    "air",
    "chamber",
    "probe",
    "pv",
    "actual",
    "measured",
}
ONLY_UNIT = {"s": "time", "ms": "time", "min": "time", "C": "sensor", "F": "sensor", "K": "sensor"}


@dataclass(frozen=True)
class Asked:
    """What the person says about a file: columns by header or number, from 1; units.

    ``can_say`` False: where columns can't be named so, the file itself has to name them.
    """

    columns: Mapping[str, str]
    temperature_unit: str | None = None
    time_unit: str | None = None
    duty_unit: str | None = None
    can_say: bool = True

    def unit(self, field: str) -> str | None:
        if field in TEMPERATURES:
            return self.temperature_unit
        return {"time": self.time_unit, "duty": self.duty_unit}.get(field)

    def cure(self, option: str) -> str:
        """How to tell which column is meant."""
        say = sentences.CSV_COLUMN_CURE.format(option=option)
        return say if self.can_say else sentences.COLUMNS_CURE


@dataclass(frozen=True)
class Column:
    """One column that is used; ``unit`` is None where neither header nor person says it."""

    field: str
    index: int
    header: str
    unit: str | None


@dataclass(frozen=True)
class Layout:
    """The columns by field, and the row with which the data begin."""

    columns: dict[str, Column]
    first_row: int
    unused: tuple[str, ...]


def lay_out(path: Path, sheet: Sheet, asked: Asked) -> Layout:
    """Find header and columns. Raises `BadInput` naming the headers and the options that help."""
    at = _header_row(sheet.rows, asked)
    header, first_row = _with_units_row(sheet.rows, at)
    faults: list[Fault] = []
    columns = _asked_columns(path, header, asked, faults)
    _guessed_columns(path, header, columns, asked, faults)
    if "time" not in columns and "date" in columns:
        columns["time"] = replace(columns.pop("date"), field="time")
    _settle_units(path, columns, asked, faults)
    if not faults:
        faults += _missing(path, header, columns, asked)
    if faults:
        raise BadInput(*faults)
    used = {column.index for column in columns.values()}
    unused = tuple(name for index, name in enumerate(header) if name and index not in used)
    return Layout(columns, first_row, unused)


def _header_row(rows: list[Row], asked: Asked) -> int | None:
    """The row whose cells name the most fields; None where the first holds numbers already."""
    scores = [_score(row.cells, asked) for row in rows[:PREAMBLE_ROWS]]
    if not any(scores) and _has_number(rows[0].cells):
        return None
    return scores.index(max(scores))


def _score(cells: list[str], asked: Asked) -> int:
    named = {name.casefold() for name in asked.columns.values() if not name.isdigit()}
    return len({field for cell in cells if (field := _guess(cell)[0])}) + 2 * len(
        named & {cell.casefold() for cell in cells}
    )


def _has_number(cells: list[str]) -> bool:
    return any(cell[:1].isdigit() for cell in cells)


def _with_units_row(rows: list[Row], at: int | None) -> tuple[list[str], int]:
    """The header's cells; a row of nothing but units below it is read as part of it."""
    if at is None:
        return ["" for _ in rows[0].cells], 0
    header, below = rows[at].cells, rows[at + 1].cells if at + 1 < len(rows) else []
    if any(below) and all(_unit_of(cell) for cell in below if cell):
        padded = below + [""] * (len(header) - len(below))
        return [f"{a} [{b}]" if b else a for a, b in zip(header, padded, strict=False)], at + 2
    return header, at + 1


def _tokens(header: str) -> list[str]:
    plain = header.replace("°", "deg").replace("º", "deg").casefold()
    return [token for token in re.split(r"[^a-z0-9%]+", plain.replace("%", " % ")) if token]


def _unit_of(header: str) -> str | None:
    """The unit that a header ends with."""
    tokens = _tokens(header)
    return UNITS.get(tokens[-1]) if tokens else None


def _guess(header: str) -> tuple[str, str | None]:
    """Field and unit of a header; field "" where it says nothing that is known."""
    tokens, unit = set(_tokens(header)), _unit_of(header)
    field = next((name for name, words in WORDS.items() if tokens & words), None)
    if field is None and tokens & SENSOR_WORDS:
        field = "sensor"
    if field == "date" and tokens & WORDS["time"]:
        field = "time"
    if field == "time" and unit in UNITS_OF["sensor"]:
        field = "sensor"
    if field is None and len(tokens) == 1 and unit:
        field = ONLY_UNIT.get(unit)
    return field or "", unit if unit in UNITS_OF.get(field or "", ()) else None


def _asked_columns(
    path: Path, header: list[str], asked: Asked, faults: list[Fault]
) -> dict[str, Column]:
    columns = {}
    for field, name in asked.columns.items():
        index = _index(header, name)
        if index is None:
            faults.append(_no_such_column(path, header, field, name))
        else:
            unit = _unit_of(header[index])
            known = unit if unit in UNITS_OF.get(field, ()) else None
            columns[field] = Column(field, index, header[index] or f"column {index + 1}", known)
    return columns


def _index(header: list[str], name: str) -> int | None:
    same = [index for index, one in enumerate(header) if one.casefold() == name.casefold()]
    if same:
        return same[0]
    if name.isascii() and name.isdigit() and len(name) < 5 and 1 <= int(name) <= len(header):
        return int(name) - 1
    return None


def _guessed_columns(
    path: Path,
    header: list[str],
    columns: dict[str, Column],
    asked: Asked,
    faults: list[Fault],
) -> None:
    taken = {column.index for column in columns.values()}
    found: dict[str, list[Column]] = {}
    for index, name in enumerate(header):
        field, unit = _guess(name)
        if field and field not in columns and index not in taken:
            found.setdefault(field, []).append(Column(field, index, name, unit))
    for field, several in found.items():
        if len(several) > 1:
            faults.append(_several(path, field, several, asked))
        columns.setdefault(field, several[0])


def _settle_units(
    path: Path, columns: dict[str, Column], asked: Asked, faults: list[Fault]
) -> None:
    """The person's unit goes to the headers that have none; it may not contradict all of them."""
    for fields in (TEMPERATURES, ("time",), ("duty",)):
        said = asked.unit(fields[0])
        present = [columns[field] for field in fields if field in columns]
        if said and present and all(column.unit not in (None, said) for column in present):
            faults.append(_units_differ(path, present[0], said))
        columns.update({c.field: replace(c, unit=c.unit or said) for c in present})


def _units_differ(path: Path, column: Column, said: str) -> Fault:
    return Fault(
        sentences.CSV_UNITS_DIFFER,
        f"{path}, column {column.header}",
        f"{column.unit} in the header, {said} asked for",
        "one unit",
        sentences.CSV_UNITS_DIFFER_CURE,
    )


def _missing(
    path: Path, header: list[str], columns: dict[str, Column], asked: Asked
) -> list[Fault]:
    absent = [] if "time" in columns else [("time", "--time")]
    if not ("sensor" in columns or "board" in columns):
        absent.append(("temperature", "--sensor or --board"))
    return [
        Fault(
            sentences.CSV_NO_COLUMN.format(field=field),
            str(path),
            _named(header),
            sentences.CSV_COLUMN_EXPECTED,
            asked.cure(option),
        )
        for field, option in absent
    ]


def _named(header: list[str]) -> str:
    names = [name for name in header if name][:12]
    return ", ".join(names) if names else f"{len(header)} columns with no header"


def _no_such_column(path: Path, header: list[str], field: str, name: str) -> Fault:
    return Fault(
        sentences.CSV_NO_SUCH_COLUMN,
        f"{path}, --{field}",
        name,
        _named(header),
        sentences.CSV_NO_SUCH_COLUMN_CURE,
    )


def _several(path: Path, field: str, several: list[Column], asked: Asked) -> Fault:
    return Fault(
        sentences.CSV_SEVERAL.format(field=field),
        str(path),
        ", ".join(column.header for column in several),
        "one",
        asked.cure(f"--{field}"),
    )
