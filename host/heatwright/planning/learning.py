"""Iterative learning: what a run with a bead on the board teaches the next one's u* and y*.

The duty that the run took is what this source really needed to go where it went. What was still
missing to the wanted board is added by the model's own inverse: least squares over hats of duty, so
that neither noise nor what no duty could mend is chased. Each change is bounded.

Bristow, Tharayil, Alleyne: "A survey of iterative learning control", IEEE Control Systems 26(3),
2006: norm-optimal update.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from heatcore import plan as core
from heatcore.line import CRC_DIGITS
from heatsim.plant import NODES
from heatwright.judging.curves import rms
from heatwright.planning.model import BOARD, Model
from heatwright.planning.plan_file import with_id
from heatwright.planning.trajectory import DOOR_DELAY_S, MOST_DUTY, opened
from heatwright.planning.tuning import Floats
from heatwright.records.units import duty_from_fraction

# Hats of duty so wide: finer ones only follow noise.
HAT_S = 15.0
HAT_DUTY = 0.05
# What a unit of duty and of its bend must gain in kelvin to be worth it.
EFFORT_K, BEND_K = 3.0, 6.0
# No generation changes more than this: a mistaken bead does no great harm.
DUTY_STEP, SENSOR_STEP_K = 0.2, 25.0
AT_BOUND = 1e-4
# The board is watched until so long after its peak.
AFTER_PEAK_S = 15.0
# Seconds to each side over which the sensor's noise is levelled out.
SMOOTH_S = 4
FULL, MILLI = 10_000, 1000.0


@dataclass(frozen=True)
class Ran:
    """One run on the plan's own clock, a value a second from 0: duty 0..1, temperatures in C."""

    duty: Floats
    sensor_c: Floats
    board_c: Floats


@dataclass(frozen=True)
class Lesson:
    """The next u* and y* at the plan's knots; errors in K from soak to after the peak.

    ``missing_k`` is what the run lacked to the wanted board, at each second.
    """

    duty: Floats
    sensor_c: Floats
    rms_k: float
    expected_k: float
    duty_change: float
    sensor_change_k: float
    bounded: bool
    missing_k: Floats


def learn(plan: core.Plan, model: Model, ran: Ran, reads_board: bool, bead: bool = True) -> Lesson:
    """What a run teaches. ``reads_board``: the control sensor is the bead on the board itself.

    ``bead``: ``board_c`` is a bead's reading, which lags behind the board that the plan wants.
    """
    seconds = np.arange(len(ran.duty), dtype=np.float64)
    cut_s = _cut_s(plan)
    hats = _hats(cut_s)
    base, moved = _responses(model, plan, hats, len(seconds))
    seen = NODES.index("board_sensor") if bead else BOARD
    wanted_c = _at(plan, plan.b_mc, seconds) + _bead_of(base, seen)
    hot = (seconds >= _soak_s(plan)) & (seconds <= _peak_s(plan) + AFTER_PEAK_S)
    watched = seconds <= _peak_s(plan) + AFTER_PEAK_S
    missing_k = wanted_c - ran.board_c
    effect = (moved[:, :, seen] - base[None, :, seen]).T / HAT_DUTY
    taken = _fitted(hats, seconds, ran.duty - _at(plan, plan.u, seconds, FULL), cut_s)
    room = _room(_at(plan, plan.u, hats, FULL))
    inverse = _inverse(effect[watched], missing_k[watched], room - taken)
    change = taken + inverse
    knots_s = np.array(plan.t_ms) / MILLI
    before = np.array(plan.u, dtype=np.float64) / FULL
    grown = before + np.interp(knots_s, hats, change, right=0.0) * (knots_s <= cut_s)
    duty = np.clip(grown, 0.0, MOST_DUTY)
    sensor_c = _sensor(plan, model, ran, reads_board, (base, moved), inverse)
    left_k = missing_k - effect @ inverse
    y_c = np.array(plan.y_mc) / MILLI
    return Lesson(
        duty=duty,
        sensor_c=sensor_c,
        rms_k=rms(missing_k[hot]),
        expected_k=rms(left_k[hot]),
        duty_change=float(np.abs(duty - before).max()),
        sensor_change_k=float(np.abs(sensor_c - y_c).max()),
        bounded=bool((change < room[0] + AT_BOUND).any() or (change > room[1] - AT_BOUND).any()),
        missing_k=missing_k,
    )


def taught(data: bytes, lesson: Lesson) -> bytes:
    """The next generation of a plan; its limits stand, and bound what is wanted."""
    doc = json.loads(data[: -CRC_DIGITS - 1])
    before_mc = np.array(doc["y_mc"])
    after_mc = np.minimum(np.round(lesson.sensor_c * MILLI), doc["limits"]["sensor_max_mc"])
    moved_mc = after_mc - before_mc
    for wait in doc["waits"]:
        # what is waited for moves with the course that it lies on
        if wait[1] == "above":
            wait[2] += round(float(np.interp(wait[0], doc["t_ms"], moved_mc)))
    doc["u"] = [duty_from_fraction(u) for u in lesson.duty]
    doc["y_mc"] = [round(mc) for mc in after_mc.tolist()]
    return with_id(doc)


def _at(plan: core.Plan, values: Sequence[int], seconds: Floats, parts: float = MILLI) -> Floats:
    return np.interp(seconds * MILLI, plan.t_ms, values) / parts


def _cut_s(plan: core.Plan) -> float:
    """When the plan's heating ends."""
    on = np.flatnonzero(np.array(plan.u) > 0)
    return float(plan.t_ms[int(on[-1])]) / MILLI


def _hats(cut_s: float) -> Floats:
    return np.linspace(0.0, cut_s, max(round(cut_s / HAT_S), 2) + 1)


def _soak_s(plan: core.Plan) -> float:
    rows = list(plan.stages)
    return next((at / MILLI for at, name in zip(rows[::2], rows[1::2], strict=True) if name), 0.0)


def _peak_s(plan: core.Plan) -> float:
    return float(plan.t_ms[int(np.argmax(plan.b_mc))]) / MILLI


def _responses(model: Model, plan: core.Plan, hats: Floats, rows: int) -> tuple[Floats, Floats]:
    """The model along the plan, and with each hat of duty more: (rows, nodes), (hats, ...)."""
    middles = np.arange(2 * rows) / 2 + 0.25
    duty = np.interp(middles * MILLI, plan.t_ms, plan.u) / FULL
    cue_s = plan.door_cue_ms / MILLI if plan.door_cue_ms >= 0 else np.inf
    door = opened(middles, cue_s + DOOR_DELAY_S, 0.5)
    start = model.start()

    def flown(one: Floats) -> Floats:
        return model.run(start, one, door, 0.5)[: 2 * rows : 2]

    peaks = np.eye(len(hats))
    moved = [flown(duty + HAT_DUTY * np.interp(middles, hats, hat, right=0.0)) for hat in peaks]
    return flown(duty), np.array(moved)


def _bead_of(base: Floats, seen: int) -> Floats:
    """How much a bead reads beside the board."""
    found: Floats = base[:, seen] - base[:, BOARD]
    return found


def _room(before: Floats) -> Floats:
    """By how much duty may change at each hat, least and most: rows of an array."""
    low, high = np.maximum(-DUTY_STEP, -before), np.minimum(DUTY_STEP, MOST_DUTY - before)
    return np.array([low, high])


def _inverse(effect: Floats, missing_k: Floats, room: Floats) -> Floats:
    """The duty that mends what was missing as far as it may: power that is not there mends none."""
    from scipy.optimize import lsq_linear

    size = effect.shape[1]
    bend = np.diff(np.eye(size), n=2, axis=0)
    weight = np.sqrt(len(missing_k) / size)
    rows = np.concatenate([effect, weight * EFFORT_K * np.eye(size), weight * BEND_K * bend])
    wanted = np.concatenate([missing_k, np.zeros(size + len(bend))])
    found: Floats = lsq_linear(rows, wanted, bounds=(room[0], room[1])).x
    return found


def _fitted(hats: Floats, seconds: Floats, values: Floats, cut_s: float) -> Floats:
    """What the run's duty was beside the plan's, as hats: free of the ripple of feedback."""
    heats = seconds < cut_s - 1.0
    columns = [np.interp(seconds[heats], hats, hat) for hat in np.eye(len(hats))]
    rows = np.stack(columns, axis=1)
    size = len(hats)
    bend = np.sqrt(HAT_S) * np.diff(np.eye(size), n=2, axis=0)
    whole = np.concatenate([rows, bend])
    wanted = np.concatenate([values[heats], np.zeros(len(bend))])
    found: Floats = np.linalg.lstsq(whole, wanted, rcond=None)[0]
    return found


def _sensor(
    plan: core.Plan,
    model: Model,
    ran: Ran,
    reads_board: bool,
    responses: tuple[Floats, Floats],
    change: Floats,
) -> Floats:
    """Where the control sensor will be: as it was in the run, moved by what is changed."""
    y_c = np.array(plan.y_mc) / MILLI
    if reads_board:
        # it reads the board, and so is wanted where it was wanted before
        return y_c
    base, moved = responses
    node = NODES.index("sensor")
    effect = (moved[:, :, node] - base[None, :, node]).T / HAT_DUTY
    smooth = np.convolve(np.pad(ran.sensor_c, SMOOTH_S, mode="edge"), _window(), mode="valid")
    coming = smooth + effect @ change
    knots_s = np.array(plan.t_ms) / MILLI
    there = np.interp(knots_s, np.arange(len(coming)), coming)
    return y_c + np.clip(there - y_c, -SENSOR_STEP_K, SENSOR_STEP_K)


def _window() -> Floats:
    return np.ones(2 * SMOOTH_S + 1) / (2 * SMOOTH_S + 1)
