"""The planner's law on a plant that nobody here wrote: `TCLabModel` of PyPI `tclab` 1.0.0.

Identified from its raw readings alone (steps of 0.3223 C, floored, and noise), a trajectory made
on that, gains by the same rules as a plan's; then run by the core on plants whose heater gives
0.8, 1 and 1.2 of what was identified. Errors are of the true temperature.
"""

import contextlib
import io
import random
from functools import cache

import numpy as np
import tclab
from scipy.optimize import least_squares
from scipy.signal import StateSpace, lsim

from core.plans import document
from heatcore import plan as core
from heatcore.inputs import Inputs
from heatcore.loop import ControlLoop
from heatwright.planning.plan_file import gains_row
from heatwright.planning.response import Linear
from heatwright.planning.schedule import calm_row

Row = tuple[str, float, str, str]
ROOM_C, TICK_S, KNOT_S = 21.0, 0.25, 10.0
STEP_S, STEP_DUTY = 900, 0.5
# A reflow course at a scale that a gain of 0.8 can still follow: corners in s and C.
COURSE = ((0.0, 21.0), (180.0, 38.0), (300.0, 42.0), (420.0, 50.0))
SOAK_S, CUT_S, END_S = 180.0, 420.0, 600.0
GAINS = (0.8, 1.0, 1.2)


def new_lab(gain=1.0, seed=1):
    random.seed(seed)
    with contextlib.redirect_stdout(io.StringIO()):
        lab = tclab.TCLabModel(synced=False)
    lab.tlast, lab.P1 = 0.0, 200.0 * gain
    return lab


def step_readings():
    """Raw readings, a second apart, of a step of half power."""
    lab = new_lab()
    lab.Q1(100 * STEP_DUTY)
    found = []
    for second in range(STEP_S):
        lab.update(float(second))
        found.append(lab.T1)
    return np.array(found)


@cache
def identified():
    """Two lags fitted to the step; states are the heater's and the sensor's share of rise, K."""
    seen = step_readings()
    time_s = np.arange(STEP_S, dtype=np.float64)

    def model(x):
        gain_k, slow_s, quick_s, start_c = x
        e_slow, e_quick = np.exp(-time_s / slow_s), np.exp(-time_s / quick_s)
        rise = 1 - (slow_s * e_slow - quick_s * e_quick) / (slow_s - quick_s)
        return start_c + gain_k * STEP_DUTY * rise

    gain_k, slow_s, quick_s, _ = least_squares(
        lambda x: model(x) - seen, (60.0, 120.0, 25.0, 21.0), bounds=(1.0, 500.0)
    ).x
    a = np.array([[-1 / quick_s, 0.0], [1 / slow_s, -1 / slow_s]])
    return a, np.array([gain_k / quick_s, 0.0]), np.array([0.0, 1.0])


def simulated(duty, time_s):
    """What the identified model does with this duty, C."""
    a, b, c = identified()
    system = StateSpace(a, b[:, None], c[None, :], 0.0)
    return ROOM_C + lsim(system, duty, time_s)[1]


def trajectory():
    """Knots, the duty that comes nearest to the course, and where the model goes with it."""
    knots_s = np.arange(0.0, CUT_S + 1.0, KNOT_S)
    time_s = np.arange(0.0, END_S, 1.0)
    hot = time_s <= CUT_S
    hats = [np.interp(time_s, knots_s, one, right=0.0) for one in np.eye(len(knots_s))]
    effect = np.stack([simulated(hat, time_s) - ROOM_C for hat in hats], axis=1)
    wanted = np.interp(time_s, *np.array(COURSE).T) - ROOM_C
    bend = 5.0 * np.diff(np.eye(len(knots_s)), n=2, axis=0)
    rows = np.concatenate([effect[hot], bend])
    duty = np.linalg.lstsq(rows, np.append(wanted[hot], np.zeros(len(bend))), rcond=None)[0]
    knots = np.append(knots_s, [CUT_S + 1.0, END_S - 1.0])
    whole = np.append(np.clip(duty, 0.0, 0.98), [0.0, 0.0])
    return knots, whole, simulated(np.interp(time_s, knots, whole), time_s)[knots.astype(int)]


@cache
def plan():
    knots_s, duty, sensor_c = trajectory()
    a, b, c = identified()
    row = calm_row([Linear(a, gain * b, c) for gain in (1.0, *GAINS)])
    mc = [round(1000 * one) for one in sensor_c]
    return document(
        t_ms=[round(1000 * one) for one in knots_s], y_mc=mc, b_mc=mc,
        u=[round(10_000 * one) for one in duty], gains=[gains_row(row.gains)], waits=[],
        stages=[[0, "preheat"], [round(1000 * SOAK_S), "soak"]], deviation=[], door_cue_ms=-1,
        limits={"sensor_max_mc": 80_000, "board_max_mc": 80_000, "run_max_ms": 900_000,
                "rise_max_mk_s": 1_000},
    )  # fmt: skip


def followed(gain, seed=1):
    """True temperature beside the plan, C each: one row a tick up to 15 s after the peak."""
    lab, doc = new_lab(gain, seed), plan()
    loop, told = ControlLoop(core.read(core.write(doc))), Inputs()
    told.sensor_status = told.sensor_age_ms = told.host_age_ms = 0
    rows = []
    for tick in range(round((CUT_S + 15.0) / TICK_S)):
        lab.update(tick * TICK_S)
        told.sensor_mc = round(lab.T1 * 1000)
        told.sensor_seq += 1
        command = loop.tick(round(1000 * TICK_S) * tick, told)
        assert not command.trip, command.trip
        lab.Q1(command.duty / 100)
        rows.append((lab._T1, command.y_mc / 1000))
    return np.array(rows).T


def errors(gain, seed=1):
    """RMS from soak to 15 s after the peak, and the error of the peak, K."""
    true_c, wanted_c = followed(gain, seed)
    hot = np.arange(len(true_c)) * TICK_S >= SOAK_S
    rms = float(np.sqrt(np.mean((true_c - wanted_c)[hot] ** 2)))
    return rms, abs(float(true_c.max() - wanted_c.max()))


def figures() -> list[Row]:
    """Rows of name, value, unit and bar."""
    rows = []
    for gain in GAINS:
        rms, peak_k = errors(gain)
        rows.append((f"tclab, gain {gain:g}: heat-phase RMS", rms, "K", "<= 0.40"))
        rows.append((f"tclab, gain {gain:g}: peak error", peak_k, "K", "<= 0.5"))
    return rows
