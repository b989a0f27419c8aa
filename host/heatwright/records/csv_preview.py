"""What was understood of a foreign CSV, for the person to look at before it becomes a run."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from heatwright import sentences
from heatwright.records.csv_columns import Column
from heatwright.records.csv_import import Table
from heatwright.records.import_run import gaps
from heatwright.records.units import Floats

SEPARATOR_NAMES = {";": "semicolons", "\t": "tabs", "|": "bars", ",": "commas"}
ARRAYS = {
    "time": "time_s", "sensor": "sensor_c", "board": "board_c", "target": "target_c",
    "duty": "duty", "knob": "duty", "door": "door",
}  # fmt: skip
SHOWN_AS = {
    "sensor": "°C",
    "board": "°C",
    "target": "°C",
    "duty": "",
    "knob": "",
    "door": "",
    "time": "s",
}


def preview(table: Table) -> Iterator[str]:
    """The lines of the preview: rows and times, each column with its range, steps and gaps."""
    yield sentences.PREVIEW_HEAD.format(
        path=table.path,
        rows=len(table.time_s),
        length=f"{table.time_s[-1]:.0f} s",
        separator=SEPARATOR_NAMES[table.separator],
        decimal="comma" if table.decimal_comma else "point",
        started=table.started or sentences.PREVIEW_NO_START,
    )
    for column in table.columns:
        if column.field in SHOWN_AS:
            yield _column(table, column)
    if table.unused:
        yield sentences.PREVIEW_UNUSED.format(names=", ".join(table.unused))
    yield _steps(table.time_s)
    for at_s, for_s in gaps(table)[:3]:
        yield sentences.PREVIEW_GAP.format(at=f"{at_s:.0f} s", length=f"{for_s:.0f} s")


def values(table: Table, field: str) -> Floats:
    """One column of the table by its field's name."""
    found: Floats = getattr(table, ARRAYS[field])
    return found


def _column(table: Table, column: Column) -> str:
    found = values(table, column.field)
    known = found[np.isfinite(found)]
    unit = f" {SHOWN_AS[column.field]}".rstrip()
    span = f"{known.min():g} to {known.max():g}{unit}" if known.size else "nothing"
    if column.unit in ("F", "K", "percent", "ms", "min"):
        span += sentences.PREVIEW_WAS.format(unit=column.unit.replace("F", "°F"))
    missing = len(found) - known.size
    empty = sentences.PREVIEW_MISSING.format(count=missing) if missing else ""
    return f"  {column.field:7} {column.header!r:24} {span}{empty}"


def _steps(time_s: Floats) -> str:
    steps = np.diff(time_s)
    return sentences.PREVIEW_STEPS.format(
        low=f"{steps.min():g}", usual=f"{np.median(steps):g}", high=f"{steps.max():g}"
    )
