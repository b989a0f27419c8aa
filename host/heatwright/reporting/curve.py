"""The curves of a report's page, as the chart takes them: one time axis, a column a line."""

from __future__ import annotations

from typing import Any

import numpy as np

from heatcore.codes import TRIP_NAMES
from heatwright.judging.board import ON_THE_BOARD
from heatwright.records.units import Floats
from heatwright.reporting.marks import event_text, melts_at, words
from heatwright.reporting.palette import BLUE, INK, ORANGE, VERMILION
from heatwright.reporting.picture import board_line
from heatwright.reporting.report import Report

# Hundredths of a degree: beyond that a bead tells nothing, and the page grows.
DIGITS = 2


def curves(report: Report) -> dict[str, Any]:
    """Columns, how each is drawn, marks and the melting line, ready to be JSON."""
    record = report.record
    placing = words(record.header.get("placing") or "not known")
    lines = [_line("target", record.target_c, "°C", INK, 1.2, [6, 4])]
    if report.verdict.board is None or record.header.get("placing") not in ON_THE_BOARD:
        # a bead on the board is the board's own line
        lines.append(_line(f"sensor ({placing})", record.sensor_c, "°C", BLUE, 1.6, [10, 3, 2, 3]))
    board = board_line(report.record, report.verdict)
    if board is not None:
        on_ticks = np.interp(record.time_s, board.time_s, board.board_c, left=np.nan, right=np.nan)
        lines.append(_line(board.label, on_ticks, "°C", VERMILION, 2.6, []))
    lines.append(_line("power", 100 * record.duty, "%", ORANGE, 1.0, []))
    return {
        "columns": [_plain(record.time_s), *(line.pop("values") for line in lines)],
        "lines": lines,
        "marks": _marks(report),
        "liquidus_c": report.verdict.paste.above_c,
        "liquidus_text": melts_at(report.verdict.paste),
    }


def _line(
    label: str, values: Floats, scale: str, colour: str, width: float, dash: list[int]
) -> dict[str, Any]:
    return {
        "label": label,
        "scale": scale,
        "colour": colour,
        "width": width,
        "dash": dash,
        "values": _plain(values),
    }


def _plain(values: Floats) -> list[float | None]:
    """Rounded; null where missing, since JSON has no NaN."""
    return [None if np.isnan(value) else round(value, DIGITS) for value in values.tolist()]


def _marks(report: Report) -> list[dict[str, Any]]:
    return [
        {"time_s": event.time_s, "text": text, "colour": _colour(event.code)}
        for event in report.record.events
        if (text := event_text(event)) is not None
    ]


def _colour(code: int) -> str:
    return VERMILION if code in TRIP_NAMES else BLUE
