"""Somebody must be there: the plan asks at 150 °C, and without an answer never enters reflow."""

from __future__ import annotations

import json
from typing import Any

import numpy as np

from heatcore import codes
from heatcore.limits import RUN_MAX_MS, TICK_MS
from heatcore.line import CRC_DIGITS
from heatwright.documents import Source
from heatwright.planning.plan_file import with_id
from heatwright.records.units import mc_from_c

# Paste and board take no harm yet, and there is half a minute and more to come and press.
CUE_C = 150.0
LEAST_NOTICE_MS = 30_000
# The plan stands still before reflow for no longer than this: the soak is nearly over.
WAIT_MS = 20_000
HOT_STAGES = ("ramp_up", "reflow")


def may_run_alone(source: Source) -> bool:
    """Whether the source file states a cut-out in series, and that it may run unattended."""
    return source.ratings.cut_out and source.ratings.unattended


def attended(plan: bytes) -> bytes:
    """The same plan with the question in it; one that never gets to reflow comes back as it was."""
    doc: dict[str, Any] = json.loads(plan[: -CRC_DIGITS - 1])
    at_ms = next((at for at, stage in doc["stages"] if stage in HOT_STAGES and at > 0), None)
    if at_ms is None or not doc["y_mc"]:
        return plan
    doc["waits"] = sorted([*doc["waits"], _question(doc, _free_ms(doc, at_ms))])
    doc["stretch_ms"] += WAIT_MS
    limits = doc["limits"]
    limits["run_max_ms"] = min(limits["run_max_ms"] + WAIT_MS, RUN_MAX_MS)
    return with_id(doc)


def _free_ms(doc: dict[str, Any], at_ms: int) -> int:
    """Then, or a tick later for each wait that stands there already."""
    taken = {wait[0] for wait in doc["waits"]}
    while at_ms in taken:
        at_ms += TICK_MS
    return at_ms


def _question(doc: dict[str, Any], at_ms: int) -> list[Any]:
    duty = round(float(np.interp(at_ms, doc["t_ms"], doc["u"]))) if doc["u"] else 0
    return [at_ms, codes.WAITS[codes.WAIT_PRESS], _cue_mc(doc, at_ms), WAIT_MS, duty]


def _cue_mc(doc: dict[str, Any], at_ms: int) -> int:
    """What the sensor reads when the board, as far as it is known, is at 150 °C, or earlier."""
    times = np.arange(0, at_ms, 250)
    board_mc = np.interp(times, doc["t_ms"], doc["b_mc"] or doc["y_mc"])
    warm = np.flatnonzero(board_mc >= mc_from_c(CUE_C))
    cue_ms = min(int(times[warm[0]]) if len(warm) else at_ms, max(at_ms - LEAST_NOTICE_MS, 0))
    return max(int(np.interp(cue_ms, doc["t_ms"], doc["y_mc"])), 1)
