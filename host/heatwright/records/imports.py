"""Reads another logger's table: CSV with named columns, numbers in s, C and 0..1."""

from __future__ import annotations

import csv
import difflib
import hashlib
import io
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from heatwright import sentences
from heatwright.errors import BadInput, Fault
from heatwright.records.units import Floats

COLUMNS = ("time_s", "duty", "sensor_c", "board_c", "door")
REQUIRED = ("time_s", "duty", "sensor_c")
# Percent or the core's parts of 10,000 taken for a share would heat without measure.
HIGHEST_DUTY = 1.5
LARGEST_BYTES = 64_000_000
# No table is refused with more lines than a screen holds.
FAULTS_SHOWN = 12


@dataclass(frozen=True)
class Imported:
    """The columns of a table by name, one entry a row; an empty cell is NaN."""

    path: Path
    sha256: str
    columns: dict[str, Floats]


def read_csv(path: Path, duty_percent: bool = False) -> Imported:
    """Read a CSV with the columns time_s, duty (or knob), sensor_c and perhaps board_c, door.

    ``knob`` (a position, nought is off) stands for the duty of a source that is driven by hand: its
    highest position is taken as full heat. Columns of other names are left out.

    Raises:
        BadInput: no such file, columns missing, cells that are no numbers, duty in other units.
    """
    data = _bytes(path)
    rows = list(csv.reader(io.StringIO(data.decode("utf-8-sig", errors="replace"))))
    names = [name.strip().lower() for name in rows[0]] if rows else []
    _check_names(path, names)
    columns = dict(_columns(path, names, rows[1:]))
    columns["duty"] = _duty(path, columns, duty_percent)
    return Imported(path, hashlib.sha256(data).hexdigest(), columns)


def _bytes(path: Path) -> bytes:
    try:
        with path.open("rb") as file:
            data = file.read(LARGEST_BYTES + 1)
    except OSError as error:
        raise BadInput(Fault(sentences.TABLE_CLOSED, str(path), str(error.strerror))) from error
    if len(data) > LARGEST_BYTES:
        raise BadInput(Fault(sentences.TABLE_LARGE, str(path)))
    return data


def _check_names(path: Path, names: list[str]) -> None:
    wanted = [n for n in REQUIRED if n not in names and not (n == "duty" and "knob" in names)]
    if wanted:
        raise BadInput(*(_missing(path, name, names) for name in wanted))


def _missing(path: Path, name: str, names: list[str]) -> Fault:
    close = difflib.get_close_matches(name, names, n=1, cutoff=0.4)
    cure = sentences.RENAME_COLUMN.format(found=close[0], name=name) if close else ""
    return Fault(
        sentences.NO_COLUMN.format(name=name),
        f"{path}:1",
        ", ".join(names) or "nothing",
        ", ".join(REQUIRED),
        cure or sentences.COLUMNS_CURE,
    )


def _columns(path: Path, names: list[str], rows: list[list[str]]) -> Iterator[tuple[str, Floats]]:
    faults: list[Fault] = []
    table = [row for row in enumerate(rows, 2) if any(cell.strip() for cell in row[1])]
    if len(table) < 2:
        raise BadInput(Fault(sentences.TABLE_SHORT, str(path), f"{len(table)} rows"))
    for name in (*COLUMNS, "knob"):
        if name in names:
            at = names.index(name)
            cells = [_number(path, line, name, row[at : at + 1], faults) for line, row in table]
            yield name, np.array(cells)
    if faults:
        raise BadInput(*faults[:FAULTS_SHOWN])


def _number(path: Path, line: int, name: str, cell: list[str], faults: list[Fault]) -> float:
    text = cell[0].strip() if cell else ""
    try:
        return float(text) if text else float("nan")
    except ValueError:
        where = f"{path}:{line}"
        cure = sentences.SYNTAX_COMMA if "," in text else ""
        faults.append(Fault(sentences.CELL_NO_NUMBER.format(name=name), where, text, "", cure))
        return float("nan")


def _duty(path: Path, columns: dict[str, Floats], percent: bool) -> Floats:
    if "duty" not in columns:
        knob = columns["knob"]
        return knob / max(float(np.nanmax(knob)), 1e-9)
    duty = columns["duty"] / (100.0 if percent else 1.0)
    highest, lowest = float(np.nanmax(duty)), float(np.nanmin(duty))
    if highest > HIGHEST_DUTY or lowest < 0.0:
        raise BadInput(_not_a_duty(path, columns, lowest, highest))
    return np.minimum(duty, 1.0)


def _not_a_duty(path: Path, columns: dict[str, Floats], lowest: float, highest: float) -> Fault:
    """Whatever reads like room temperature at first, and only rises, is no duty."""
    sensor_c = columns["sensor_c"]
    if float(np.nanmax(sensor_c)) <= HIGHEST_DUTY:
        cure = sentences.SWAPPED_CURE.format(one="duty", other="sensor_c")
    elif highest <= 100.0:
        cure = sentences.DUTY_PERCENT_CURE
    else:
        cure = sentences.DUTY_CURE
    found = f"{lowest:g} to {highest:g}"
    return Fault(sentences.DUTY_RANGE, f"{path}: duty", found, "0 to 1", cure)
