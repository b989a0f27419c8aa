"""Another logger's table as learning takes it: columns by name, numbers in s, C and 0..1."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from heatwright import sentences
from heatwright.errors import BadInput, Fault
from heatwright.records import csv_checks
from heatwright.records.csv_columns import Asked
from heatwright.records.csv_import import Table, read_table
from heatwright.records.units import Floats

# Rounding and a logger's offset go a little beyond full heat; no temperature stays below this.
HIGHEST_DUTY = 1.5
OF_PERCENT = "--duty-percent"


@dataclass(frozen=True)
class Imported:
    """The columns of a table by name, one entry a row; an empty cell is NaN."""

    path: Path
    sha256: str
    columns: dict[str, Floats]
    placing: str | None = None


def read_csv(path: Path, duty_percent: bool = False) -> Imported:
    """Read a CSV with the columns time_s, duty (or knob), sensor_c and perhaps board_c, door.

    ``knob`` (a position, nought is off) stands for the duty of a source that is driven by hand: its
    highest position is taken as full heat. Times are as the logger wrote them.

    Raises:
        BadInput: no such file, columns missing, cells that are no numbers, duty in other units.
    """
    unit = "percent" if duty_percent else None
    table = read_table(path, Asked({}, duty_unit=unit, can_say=False))
    faults = _missing(table) or _swapped(table) or [*csv_checks.duty_faults(table, OF_PERCENT)]
    if faults:
        raise BadInput(*faults)
    sha256 = hashlib.sha256(path.read_bytes()).hexdigest()
    return Imported(path, sha256, _columns(table), table.placing)


def _missing(table: Table) -> list[Fault]:
    absent = [] if table.has("sensor") else ["sensor_c"]
    if not (table.has("duty") or table.has("knob")):
        absent.append("duty")
    names = ", ".join([*(column.header for column in table.columns), *table.unused])
    what, cure = sentences.CSV_NO_COLUMN, sentences.COLUMNS_CURE
    return [Fault(what.format(field=name), str(table.path), names, name, cure) for name in absent]


def _swapped(table: Table) -> list[Fault]:
    """A sensor that never leaves 0 to 1 beside a duty that does."""
    sensor, duty = float(np.nanmax(table.sensor_c)), float(np.nanmax(table.duty))
    if not sensor <= HIGHEST_DUTY < duty:
        return []
    found = f"sensor_c up to {sensor:g}, duty up to {duty:g}"
    cure = sentences.SWAPPED_CURE.format(one="duty", other="sensor_c")
    return [Fault(sentences.SWAPPED, str(table.path), found, cure=cure)]


def _columns(table: Table) -> dict[str, Floats]:
    found = {
        "time_s": table.time_s,
        "duty": np.minimum(table.duty, 1.0),
        "sensor_c": table.sensor_c,
    }
    others = (("board", "board_c", table.board_c), ("door", "door", table.door))
    return found | {name: values for field, name, values in others if table.has(field)}
