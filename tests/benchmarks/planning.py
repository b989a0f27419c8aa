"""How well plans are followed, against the best there is and against PID alone; what they cost."""

import json
import time
from dataclasses import replace
from functools import cache
from random import Random

import numpy as np

from heatcore import plan as core
from heatcore.line import CRC_DIGITS
from heatcore.loop import ControlLoop
from heatsim import seeds
from heatsim.mains import Mains
from heatsim.plant import NODES
from heatsim.sensor import Sensor
from heatwright.documents import load_paste, load_profile, load_source
from heatwright.planning import ensemble, plan_file, warm
from heatwright.planning.learning import Ran, learn, taught
from heatwright.planning.making import make_plan
from heatwright.planning.model import BOARD, Model
from heatwright.planning.nominal import plan_for_source
from heatwright.planning.plan_file import with_id
from heatwright.planning.response import step_model, warmed
from heatwright.planning.trial import Oven, Trial, run
from heatwright.planning.tuning import simc
from heatwright.planning.wanted import Wanted

Row = tuple[str, float, str, str]
KINDS = {"toaster": 1.0, "convection": 1.0, "drawer": 2.3}
PLANTS, ENSEMBLE, WARM_CASES, REFINED = 12, 40, 4, 6
BEAD, SENSOR = NODES.index("board_sensor"), NODES.index("sensor")
BEAD_LAG_S, OPTIMUM_STEPS, TUNED_AT_C = 2.5, 6, 175.0


@cache
def wanted(reads="board_sensor"):
    return Wanted(load_paste("sac305"), load_profile("sac305"), True, reads)


@cache
def planned(kind, reads="board_sensor", lag_s=BEAD_LAG_S):
    """The plan for a source whose file knows how slow the bead on the board is."""
    params = replace(load_source(kind).plant_params(), board_sensor_s=lag_s)
    return plan_for_source(params, wanted(reads)).plan


def drawn(kind, seed, lag_s=BEAD_LAG_S, junction_k=0.0):
    """A source within 20 % of its kind in every number, on nominal mains."""
    params = seeds.variation(load_source(kind).plant_params(), 0.2, Random(f"{kind} {seed}"))
    sensor = Sensor(noise_k=seeds.NOISE_K, junction_error_k=junction_k, seed=seed)
    return Oven(replace(params, board_sensor_s=lag_s), Mains(), sensor)


def on_clock(found):
    """Duty, sensor, bead and board a second of the plan's own clock."""
    moves = np.append(True, np.diff(found.plan_s) > 0)
    seconds = np.arange(int(found.plan_s[-1]), dtype=np.float64)
    columns = (found.duty, *found.states.T[[SENSOR, BEAD, BOARD]])
    return seconds, [np.interp(seconds, found.plan_s[moves], one[moves]) for one in columns]


def hot_rms(seconds, board_c, plan):
    """Board against plan from soak start to 15 s after the peak, RMS in K."""
    wanted_c = np.interp(1000 * seconds, plan.t_ms, plan.b_mc) / 1000
    until = plan.t_ms[int(np.argmax(plan.b_mc))] / 1000 + 15
    hot = (1000 * seconds >= plan.stages[2]) & (seconds <= until)
    # a run that a rule stopped on the way never got there
    return float(np.sqrt(np.mean((board_c - wanted_c)[hot] ** 2))) if hot.any() else np.nan


def followed(data, oven, reads="board_sensor"):
    """Hot RMS and the error of the peak, K."""
    plan = core.read(data)
    found = run(oven, plan, reads)
    seconds, columns = on_clock(found)
    peak_k = float(found.states[:, BOARD].max()) - max(plan.b_mc) / 1000
    return hot_rms(seconds, columns[3], plan), peak_k


def optimum_rms(data, params):
    """The clairvoyant: duty made for this very source, no sensor and no noise in between."""
    best = np.inf
    for _ in range(OPTIMUM_STEPS):
        plan = core.read(data)
        model = Model(params)
        seconds = np.arange(plan.t_ms[-1] // 1000, dtype=np.float64)
        duty = np.interp(seconds + 0.5, np.array(plan.t_ms) / 1000, plan.u) / 10_000
        door = (1000 * seconds >= plan.door_cue_ms + 3000) & (plan.door_cue_ms >= 0)
        states = model.run(model.start(), duty, door.astype(float), 1.0)[:-1]
        best = min(best, hot_rms(seconds, states[:, BOARD], plan))
        ran = Ran(duty, states[:, SENSOR], states[:, BOARD])
        data = taught(data, learn(plan, model, ran, True, bead=False))
    return best


@cache
def textbook(kind):
    """SIMC as it stands in the paper: one lag and a dead time, closed loop as quick as that."""
    model = Model(load_source(kind).plant_params())
    found = step_model(model, warmed(model, TUNED_AT_C), "board_sensor")
    return plan_file.gains_row(simc(found))


def pid_alone(kind):
    """The same course, followed by a textbook SIMC controller without feed-forward."""
    doc = json.loads(planned(kind)[: -CRC_DIGITS - 1])
    hot = [t <= doc["waits"][-1][0] for t in doc["t_ms"]]
    # a trace of feed-forward, for where nothing of it is left heating has ended
    doc["u"] = [int(one) for one in hot]
    doc["gains"], doc["waits"], doc["stretch_ms"] = [textbook(kind)], [], 0
    return with_id(doc)


def tracking(kind, plants):
    """Hot RMS of ours, of the optimum and of PID alone on each plant, (plants, 3)."""
    data = planned(kind)
    found = []
    for seed in range(1, plants + 1):
        oven, same = drawn(kind, seed), drawn(kind, seed)
        ours = followed(data, oven)[0]
        alone = followed(pid_alone(kind), same)[0]
        found.append((ours, optimum_rms(data, oven.params), alone))
    return np.array(found)


def _tracking_rows():
    for kind, bar in KINDS.items():
        ours, best, alone = tracking(kind, PLANTS).T
        yield f"{kind}: hot RMS, p95", float(np.percentile(ours, 95)), "K", f"<= {bar:g}"
        yield f"{kind}: mean over the optimum's", ours.mean() / best.mean(), "times", "<= 2.5"
        let_through = np.isfinite(alone)
        ratio = alone[let_through].mean() / ours.mean() if let_through.any() else np.inf
        yield f"{kind}: PID alone over ours, mean", float(ratio), "times", ">= 6"
        stopped = float(np.mean(~let_through))
        yield f"{kind}: PID alone, stopped by the rules", stopped, "", "printed"


def _sensor_error_rows():
    for kind in KINDS:
        for lag_s in (2.5, 8.0):
            found = []
            for seed in range(1, PLANTS + 1):
                error_k = Random(seed).uniform(-1.5, 1.5)
                oven = drawn(kind, seed, lag_s, error_k)
                found.append(followed(planned(kind, lag_s=lag_s), oven))
            rms, peak_k = np.array(found).T
            named = f"{kind}: junction 1.5 K off, bead {lag_s:g} s"
            yield f"{named}, RMS mean", float(rms.mean()), "K", "printed"
            yield f"{named}, peak p95", float(np.percentile(np.abs(peak_k), 95)), "K", "<= 2.5"


def _warm_rows():
    """Planned anew from a warm source, in rooms of 5 to 35 C."""
    peaks = []
    for number in range(WARM_CASES):
        rng = Random(f"warm {number}")
        kind = list(KINDS)[number % len(KINDS)]
        room_c, sensor_c = rng.uniform(5, 35), rng.uniform(25, 80)
        params = load_source(kind).plant_params()
        state = warm.at_reading(Model(params, room_c), max(sensor_c, room_c))
        data = plan_for_source(params, replace(wanted(), ambient_c=room_c, state=state)).plan
        plan, oven = core.read(data), drawn(kind, number)
        found = run(oven, plan, "board_sensor", room_c, state)
        peaks.append(abs(found.states[:, BOARD].max() - max(plan.b_mc) / 1000))
    yield "warm starts, planned anew: peak, worst", float(max(peaks)), "K", "<= 2.5"


def refined(kind, seed, reads):
    """Hot RMS of three runs, each taught by a bead on the board in the one before."""
    data, found = planned(kind, reads), []
    for number in range(3):
        oven = drawn(kind, seed)
        oven = replace(oven, sensor=Sensor(noise_k=seeds.NOISE_K, seed=10 * seed + number))
        plan = core.read(data)
        seconds, columns = on_clock(run(oven, plan, reads))
        found.append(hot_rms(seconds, columns[3], plan))
        model = Model(load_source(kind).plant_params())
        data = taught(data, learn(plan, model, Ran(*columns[:3]), reads == "board_sensor"))
    return found


def _refined_rows():
    for kind in KINDS:
        runs = np.array([refined(kind, seed, "sensor") for seed in range(1, REFINED + 1)])
        ratio = float(runs[:, 2].mean() / runs[:, 0].mean())
        yield f"{kind}: air sensor, run 3 over run 1", ratio, "", "<= 0.15"
        beads = np.array([refined(kind, seed, "board_sensor") for seed in range(1, 4)])
        ratio = float(beads[:, 2].mean() / beads[:, 0].mean())
        yield f"{kind}: bead on the board, run 3 over run 1", ratio, "", "<= 1.0"


def _cost_rows():
    source = load_source("toaster")
    began_s = time.perf_counter()
    plan = make_plan(source, wanted())
    yield "one plan", time.perf_counter() - began_s, "s", "<= 20"
    trial = Trial(plan.plan, source, wanted())
    began_s = time.perf_counter()
    found = ensemble.verify(trial, ENSEMBLE)
    two_s = time.perf_counter() - began_s
    yield "200 sources verified, two cores", 200 * two_s / ENSEMBLE, "s", "<= 30"
    yield "10,000 sources, two cores (extrapolated)", 10_000 * two_s / ENSEMBLE, "s", "printed"
    yield "share that works", found.in_window / found.sources, "", "printed"
    began_s = time.perf_counter()
    ensemble.verify(trial, ENSEMBLE // 4, workers=1)
    one_s = (time.perf_counter() - began_s) / (ENSEMBLE // 4)
    yield "10,000 sources, one core (extrapolated)", 10_000 * one_s, "s", "printed"
    yield "cost of a source", one_s, "s", "printed"
    yield from _tick_rows(trial, plan.plan, one_s)


def _tick_rows(trial, data, one_s):
    """Ticks a second, and the share of a trial that is spent in the core."""
    spent, tick = [0.0, 0], ControlLoop.tick

    def timed(self, now_ms, inputs):
        began_s = time.perf_counter()
        command = tick(self, now_ms, inputs)
        spent[0] += time.perf_counter() - began_s
        spent[1] += 1
        return command

    ControlLoop.tick = timed
    began_s = time.perf_counter()
    try:
        trial(1)
    finally:
        ControlLoop.tick = tick
    yield "ticks a second and core", spent[1] / one_s, "1/s", "printed"
    yield "share spent in the core", spent[0] / (time.perf_counter() - began_s), "", "printed"


def figures() -> list[Row]:
    """Rows of name, value, unit and bar."""
    groups = (_cost_rows, _tracking_rows, _sensor_error_rows, _warm_rows, _refined_rows)
    return [row for group in groups for row in group()]
