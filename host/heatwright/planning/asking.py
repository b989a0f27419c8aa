"""The question at the peak, "Melted?", for a source of which too few melts were seen yet.

The plan waits for the mark just before it would cool, with the duty that holds the board where it
is; a mark made earlier passes the wait by, and no mark for 90 s ends the heat.
"""

from __future__ import annotations

import json
from typing import Any

import numpy as np

from heatcore import limits
from heatcore import plan as core
from heatcore.line import CRC_DIGITS
from heatsim.batch import inputs_table, simulate_compiled
from heatsim.params import PlantParams
from heatsim.plant import NODES, STEP_S
from heatwright.documents import Source
from heatwright.planning import plan_file
from heatwright.records.units import Floats, duty_from_fraction

# With a mark in each of three runs a board's peak is known to about 3 K.
ENOUGH_MARKED = 3
LONGEST_MS = 90_000
# How far above the plan's own peak the held board may go; the plan's ceilings stand besides.
ABOVE_PEAK_K = 2.0
HALVINGS = 10
BOARD = NODES.index("board")


def asks(source: Source) -> bool:
    """Whether a run on this source asks at its peak: until three runs were marked."""
    return len(source.marked_from) < ENOUGH_MARKED


def with_question(plan: bytes, params: PlantParams, ambient_c: float = 25.0) -> bytes:
    """The same `track` plan, waiting for the mark at its peak; unchanged where none can be had."""
    doc: dict[str, Any] = json.loads(plan[: -CRC_DIGITS - 1])
    falls = [at_ms for at_ms, stage in doc["stages"] if stage == "ramp_down"]
    if not falls or any(wait[1] == "mark" for wait in doc["waits"]):
        return plan
    at_ms = _asks_ms(doc, falls[0])
    stretch_ms = doc["stretch_ms"] + LONGEST_MS
    longest_ms = min(doc["limits"]["run_max_ms"] + LONGEST_MS, limits.RUN_MAX_MS)
    if doc["t_ms"][-1] + stretch_ms > longest_ms:
        return plan
    hold = duty_from_fraction(_holding_duty(doc, params, at_ms, ambient_c))
    doc["waits"] = sorted([*doc["waits"], [at_ms, "mark", 0, LONGEST_MS, hold]])
    doc["stretch_ms"] = stretch_ms
    if doc["door_cue_ms"] != core.NO_CUE:
        # nobody is told to open the door while the answer is waited for
        doc["door_cue_ms"] = max(doc["door_cue_ms"], at_ms + limits.TICK_MS)
    doc["limits"]["run_max_ms"] = longest_ms
    return plan_file.with_id(doc)


def _asks_ms(doc: dict[str, Any], falls_ms: int) -> int:
    """Just before it would cool, and a tick after any other wait that stands there."""
    at_ms = max(falls_ms - limits.TICK_MS, 0)
    taken = {wait[0] for wait in doc["waits"]}
    while at_ms in taken:
        at_ms += limits.TICK_MS
    return at_ms


def _holding_duty(doc: dict[str, Any], params: PlantParams, at_ms: int, ambient_c: float) -> float:
    """The most duty with which the board stays at the plan's peak for as long as is waited."""
    time_ms = np.arange(0.0, at_ms, 1000.0 * STEP_S)
    before = np.interp(time_ms, doc["t_ms"], np.array(doc["u"]) / 10_000)
    ceiling_c = max(doc["b_mc"]) / 1000 + ABOVE_PEAK_K
    low, high = 0.0, limits.DUTY_MAX / 10_000
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        hot = _held_peak_c(params, before, middle, ambient_c) > ceiling_c
        low, high = (low, middle) if hot else (middle, high)
    return low


def _held_peak_c(params: PlantParams, before: Floats, duty: float, ambient_c: float) -> float:
    held = np.full(round(LONGEST_MS / 1000 / STEP_S), duty)
    inputs = inputs_table(np.concatenate([before, held]), fan=1.0, ambient_c=ambient_c)
    states = simulate_compiled([params], inputs)[0]
    return float(states[len(before) :, BOARD].max())
