"""What can't be a record of a run: each refused with its line and what would be right."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

import numpy as np

from heatwright import sentences
from heatwright.errors import Fault
from heatwright.records.units import Floats

if TYPE_CHECKING:
    from heatwright.records.csv_import import Table

# Six hours: no board is that long in an oven; a file in milliseconds soon seems to be.
LONGEST_S = 6 * 3600.0
COLDEST_C, HOTTEST_C = -60.0, 600.0
# No duty is above 1; a column that reaches this is percent or a pulse width.
DUTY_LIMIT = 1.5
# A source that starts this hot, or a room that is, has another unit.
START_LIMIT_C = 200.0
# Paste chars and boards burn below this; in Fahrenheit every lead-free run gets there.
PEAK_LIMIT_C = 350.0
# A room in Fahrenheit, read as Celsius.
ROOM_IN_F = (55.0, 105.0)
# A column of temperatures taken for the time falls in the whole of the cooling.
FALLS_SHARE = 0.1
ROWS_TO_TELL = 10
TOLD_LINES = 3


def faults(table: Table) -> list[Fault]:
    """Everything that is wrong with a table, in the order in which a person would mend it."""
    if len(table.time_s) < 2:
        return [_fault(table, "CSV_SHORT", f"{len(table.time_s)} rows")]
    if swapped := _swapped(table):
        return [swapped]
    found = [*_time_faults(table), *duty_faults(table)]
    if not (table.has("sensor") or table.has("board")):
        found.append(_fault(table, "CSV_NO_HEAT", "no number in it"))
    for column in table.columns:
        if column.field in ("sensor", "board", "target"):
            found += _heat_faults(table, column.header, _values(table, column.field), column.unit)
    return found


def _fault(table: Table, name: str, found: str, column: str = "", **words: str) -> Fault:
    """The three sentences of one name: what, expected, cure."""
    what, expected, cure = sentences.CSV_NONSENSE[name]
    where = f"{table.path}, column {column}" if column else str(table.path)
    return Fault(what.format(**words), where, found, expected, cure.format(**words))


def _values(table: Table, field: str) -> Floats:
    return {"sensor": table.sensor_c, "board": table.board_c, "target": table.target_c}[field]


def _header(table: Table, field: str) -> str:
    fields = ("duty", "knob") if field == "duty" else (field,)
    return next((column.header for column in table.columns if column.field in fields), field)


def _swapped(table: Table) -> Fault | None:
    """Two columns in each other's place: what should rise does not, what need not does."""
    falls = np.diff(table.time_s) < 0
    if len(falls) >= ROWS_TO_TELL and falls.mean() > FALLS_SHARE:
        for column in table.columns:
            if column.field in ("sensor", "board") and _rises(_values(table, column.field)):
                names = f"{_header(table, 'time')} and {column.header}"
                return _fault(table, "CSV_SWAPPED", sentences.CSV_TIME_FALLS, names)
    for column in table.columns:
        if column.field in ("sensor", "board") and table.has("duty"):
            value_c = _values(table, column.field)
            if _within(value_c, 0, 1) and not _within(table.duty, 0, DUTY_LIMIT):
                names = f"{_header(table, 'duty')} and {column.header}"
                return _fault(table, "CSV_SWAPPED", sentences.CSV_DUTY_IS_HOT, names)
    return None


def _rises(values: Floats) -> bool:
    known = values[np.isfinite(values)]
    return len(known) == len(values) and bool((np.diff(known) > 0).all())


def _within(values: Floats, low: float, high: float) -> bool:
    known = values[np.isfinite(values)]
    return len(known) > 0 and bool((known >= low).all() and (known <= high).all())


def _time_faults(table: Table) -> Iterator[Fault]:
    header = _header(table, "time")
    missing = np.flatnonzero(~np.isfinite(table.time_s))
    if missing.size:
        yield _fault(table, "CSV_NO_TIME", _lines(table, missing), header)
        return
    steps = np.diff(table.time_s)
    if (steps < 0).any():
        yield _fault(table, "CSV_BACKWARDS", _lines(table, np.flatnonzero(steps < 0) + 1), header)
    if (steps == 0).any():
        yield _fault(table, "CSV_TWICE", _lines(table, np.flatnonzero(steps == 0) + 1), header)
    span_s = float(np.ptp(table.time_s))
    if span_s > LONGEST_S:
        yield _fault(table, "CSV_LONG", f"{span_s / 3600:.1f} hours", header)


def _lines(table: Table, indices: np.ndarray[tuple[int], np.dtype[np.intp]]) -> str:
    told = ", ".join(f"line {table.lines[int(index)]}" for index in indices[:TOLD_LINES])
    return told + (f" and {indices.size - TOLD_LINES} more" if indices.size > TOLD_LINES else "")


def duty_faults(table: Table, percent: str = "--duty-unit percent") -> Iterator[Fault]:
    """Duty in another unit, or below nought; ``percent`` is the option that says so."""
    known = table.duty[np.isfinite(table.duty)]
    if known.size and known.max() > DUTY_LIMIT:
        found, header = f"up to {known.max():g}", _header(table, "duty")
        yield _fault(table, "CSV_DUTY_HIGH", found, header, percent=percent)
    if known.size and known.min() < 0:
        yield _fault(table, "CSV_DUTY_LOW", f"down to {known.min():g}", _header(table, "duty"))


def _heat_faults(table: Table, header: str, value_c: Floats, unit: str | None) -> Iterator[Fault]:
    known = value_c[np.isfinite(value_c)]
    if not known.size:
        yield _fault(table, "CSV_NO_HEAT", "no number in it", header)
        return
    low, high = float(known.min()), float(known.max())
    found = f"{low:.0f} to {high:.0f} {'°C' if unit else '(no unit given)'}"
    if unit is None and (hint := _other_unit(known)):
        yield _fault(table, "CSV_OTHER_UNIT", found, header, unit=hint)
    elif not (low >= COLDEST_C and high <= HOTTEST_C):
        yield _fault(table, "CSV_HEAT_RANGE", found, header)


def _other_unit(value: Floats) -> str | None:
    """The unit that numbers without one look like, where that is not C."""
    if value.min() > START_LIMIT_C:
        return "K"
    if value.max() > PEAK_LIMIT_C and ROOM_IN_F[0] <= value[0] <= ROOM_IN_F[1]:
        return "F"
    return None
