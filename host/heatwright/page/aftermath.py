"""All that a page says of one run that is over; made in a process of its own, since it computes."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from heatwright import sentences
from heatwright.errors import BadInput
from heatwright.judging import joints
from heatwright.judging.board import Board
from heatwright.judging.kept import kept
from heatwright.page.board_picture import pictures
from heatwright.page.lessons import marks
from heatwright.records.reader import Record, read
from heatwright.reporting import html as report_html
from heatwright.reporting.curve import curves
from heatwright.reporting.marks import words
from heatwright.reporting.report import Row, gather
from heatwright.reporting.seen_report import report as seen_report
from heatwright.running.outcome import trip_line, trip_of

GOOD = ("pass", "likely_pass")


def aftermath(place: Path) -> dict[str, Any]:
    """Verdict, measures, curve, joints, causes and touch-up of a run's folder, as JSON values."""
    gathered = gather(place)
    own = kept(place)
    seen = seen_report(place, gathered.record, gathered.verdict, own.bench).as_json()
    trip = trip_of(gathered.record)
    return {
        "id": place.name,
        "title": gathered.title,
        "status": gathered.status,
        "code": gathered.verdict.status,
        "sentence": gathered.verdict.sentence,
        "notes": list(gathered.verdict.notes),
        "trip": trip_line(trip) if trip else "",
        "head": gathered.head,
        **_rows(gathered.rows),
        "curves": curves(gathered),
        "seen": seen,
        "refs": joints.refs(own.bench),
        "boards": pictures(own.bench, {one["ref"]: one["state"] for one in seen["joints"]}),
        "marks": marks(place),
        "states": [(name, words(name), sentences.JOINT_LOOKS[name]) for name in joints.STATES],
    }


def _rows(rows: Sequence[Row]) -> dict[str, Any]:
    """The board's own measures, then those of its parts, which are many and seldom amiss."""
    first = next((at for at, row in enumerate(rows) if row.part_begins), len(rows))
    return {
        "rows": [vars(row) for row in rows[:first]],
        "part_rows": [vars(row) for row in rows[first:]],
        "parts_amiss": any(row.status_code not in GOOD for row in rows[first:]),
    }


def html_report(place: Path) -> str:
    return report_html.page(gather(place))


def curve(place: Path) -> dict[str, Any]:
    """One run's lines for an overlay: time and the board, or the sensor where that is all."""
    record = read(place)
    board = _board(place, record)
    name, at, values = place.name, record.time_s, record.sensor_c
    if board is not None:
        at, values = board.time_s, board.board_c
    else:
        name = sentences.PAGE["by_its_sensor"].format(run=name)
    every = max(1, len(at) // 600)
    pairs = zip(at[::every].tolist(), values[::every].tolist(), strict=True)
    return {"name": name, "points": [[round(t, 1), round(v, 1)] for t, v in pairs if v == v]}


def _board(place: Path, record: Record) -> Board | None:
    """The board of a run as far as its documents tell; None where they can't be judged by."""
    try:
        return kept(place).judge(record).board
    except BadInput:
        return None


def note(place: Path, ref: str, state: str) -> None:
    """Keep what a joint looks like. Raises `BadInput`."""
    joints.note(place, joints.parse([f"{ref}={state}"]), [], dt.datetime.now(dt.UTC))
