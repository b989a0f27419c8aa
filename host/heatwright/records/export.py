"""A run as CSV or JSON for other programs: SI units, named in the header; missing stays missing."""

from __future__ import annotations

import csv
import io
import json
from typing import Any, get_args

import numpy as np

from heatcore.codes import EVENT_NAMES, STAGES, TRIP_NAMES
from heatcore.inputs import NONE
from heatwright.documents.source import Placing
from heatwright.records.reader import Record
from heatwright.records.units import Floats

SCHEMA_VERSION = 1
# Three digits: the core counts in thousandths of a degree and of a second.
DIGITS = 3
NUMBERS = ("time_s", "sensor_c", "board_c", "target_c", "duty", "door")


def columns(record: Record) -> dict[str, Floats]:
    """The run's columns in s, C and 0..1, NaN where missing.

    ``board_c`` is a bead on the board where one was (the second sensor), never the simulated
    truth: what is exported can be imported, measured and judged like any other record.
    """
    door = record.raw["door"]
    found = (
        record.time_s,
        record.sensor_c,
        record.second_c,
        record.target_c,
        record.duty,
        np.where(door == NONE, np.nan, door),
    )
    return dict(zip(NUMBERS, found, strict=True))


def stages(record: Record) -> list[str]:
    """The stage of each row by name; empty where the record has none."""
    return [STAGES[stage] if 0 <= stage < len(STAGES) else "" for stage in record.stage.tolist()]


def _where(record: Record) -> list[str]:
    """Where the control sensor sat, in every row; empty where the record does not say."""
    placing = record.header.get("placing")
    said = placing if placing in get_args(Placing) else ""
    return [str(said)] * len(record.time_s)


def as_csv(record: Record) -> str:
    """Comma, decimal point, a header with the units; empty cells where nothing was read."""
    table = columns(record)
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow([*table, "stage", "where"])
    cells = [[_cell(value) for value in column.tolist()] for column in table.values()]
    writer.writerows(zip(*cells, stages(record), _where(record), strict=True))
    return text.getvalue()


def as_json(record: Record) -> str:
    """One document: the header, the columns, the events, the trace's hash; null where missing."""
    document: dict[str, Any] = {
        "schema_version": SCHEMA_VERSION,
        "header": record.header,
        "units": {"time_s": "s", **dict.fromkeys(NUMBERS[1:4], "degrees Celsius"), "duty": "0..1"},
        "trace_sha256": record.trace_sha256,
        "damaged_lines": record.damaged_lines,
        "columns": {name: _plain(column) for name, column in columns(record).items()}
        | {"stage": stages(record)},
        "events": events(record),
    }
    return json.dumps(document, ensure_ascii=False, allow_nan=False, indent=1) + "\n"


def _cell(value: float) -> str:
    return "" if np.isnan(value) else f"{value:.{DIGITS + 1}f}".rstrip("0").rstrip(".")


def _plain(column: Floats) -> list[float | None]:
    return [None if np.isnan(value) else round(value, DIGITS + 1) for value in column.tolist()]


def events(record: Record) -> list[dict[str, Any]]:
    """The events with their codes' names; numbers in the core's own units."""
    return [
        {
            "time_s": event.time_s,
            "event": name_of(event.code),
            "seen": event.seen,
            "expected": event.expected,
        }
        for event in record.events
    ]


def name_of(code: int) -> str:
    """The name of an event's code."""
    return TRIP_NAMES.get(code) or EVENT_NAMES.get(code) or f"code_{code}"
