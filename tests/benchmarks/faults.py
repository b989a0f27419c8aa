"""The fault campaign in small: how soon the heat is off, what stays unseen, what trips for nothing.

Counts that fit a benchmark; `heatwright faults` runs the whole of it. Each row says its count.
"""

import os
from concurrent.futures import ProcessPoolExecutor

from heatwright.faulting import chip
from heatwright.faulting.campaign import Size, Wanted, run
from heatwright.faulting.figures import is_after_cue, percentile, since_low_duty

Row = tuple[str, float, str, str]
MEASURED = Wanted(size=Size(seeds=2, every_moment=1, fresh_runs=400, chips=1))
KIND = Wanted(spread="kind", size=Size(seeds=1, every_moment=3, fresh_runs=200, chips=0))
PEAK = ("reflow begins", "reflow", "ramp down")
EARLY = ("before arming", "start", "first minute")
LOST = ("sensor-open", "sensor-shorted", "sensor-detached-ambient")
MILD = ("sensor-detached-air", "relay-half", "element-half", "fan-stopped", "door-open")
LOW_DUTY = 0.6
CLEAR_K = 40.0
OVENS = ("toaster", "convection", "drawer")


def figures() -> list[Row]:
    """Rows of name, value, unit and bar."""
    with ProcessPoolExecutor(os.cpu_count()) as executor:
        on_chip = chip.trials if chip.can_run() else None
        measured = run(MEASURED, executor, on_chip=on_chip)
        kind = run(KIND, executor)
    return [
        *_welds(measured["cases"]),
        *_dead(measured["cases"]),
        *_lost(measured["cases"]),
        *_mild(measured["cases"]),
        *_hidden(measured["cases"], "sensor-wrong-type", "printed"),
        *_chip(measured["cases"]),
        _false("6 %", measured, "<= 0"),
        *_kind(kind),
    ]


def _of(cases, *names):
    return [case for case in cases if case["fault"] in names]


def _at(cases, moments):
    return [case for case in cases if case["moment"] in moments]


def _p95(name, cases, bar):
    """Seconds to off of the detected ones; the undetected are counted beside it."""
    seconds = [case["seconds_to_off"] for case in cases if case["seconds_to_off"] is not None]
    unseen = sum(not case["detected"] for case in cases)
    return [
        (f"{name}, p95 of {len(seconds)}", percentile(seconds, 95), "s", bar),
        (f"{name}, never seen of {len(cases)}", unseen, "cases", "printed"),
    ]


def _welds(cases):
    welds = _of(cases, "relay-shorted")
    low = [case for case in welds if case["mean_duty"] <= LOW_DUTY]
    ovens = [case for case in welds if case["source"] in OVENS]
    return [
        *_p95("weld struck at duty <= 0.6", low, "<= 35"),
        *_p95("weld, since duty <= 0.6, all", since_low_duty(welds), "<= 35")[:1],
        *_p95("weld, since duty <= 0.6, ovens", since_low_duty(ovens), "<= 35")[:1],
        *_by_cue(since_low_duty(welds)),
        ("weld, hottest board", max(case["max_board_c"] for case in welds), "C", "printed"),
        _to_limit(_of(cases, "both-welded")),
    ]


def _by_cue(cases):
    """Struck before the door's cue, and after it, when most rules are at rest."""
    before = [case for case in cases if not is_after_cue(case)]
    after = [case for case in cases if is_after_cue(case)]
    return [
        *_p95("weld, since duty <= 0.6, struck before the cue", before, "<= 35")[:1],
        *_p95("weld, since duty <= 0.6, struck after the cue", after, "printed")[:1],
    ]


def _to_limit(cases):
    soonest = min(case["seconds_to_300_c"] for case in cases if case["seconds_to_300_c"])
    return ("both relays welded, soonest to 300 C", soonest, "s", "printed")


def _dead(cases):
    dead = _of(cases, "relay-open")
    later = [case for case in dead if case["moment"] not in (*EARLY, *PEAK)]
    return [
        *_p95("dead heater, outside peak", later, "<= 25"),
        *_p95("dead heater, first minute", _at(dead, EARLY), "<= 45"),
    ]


def _lost(cases):
    lost = _of(cases, *LOST)
    clear = [
        case
        for case in lost
        if case["fault"] == "sensor-open" or case["above_junction_k"] >= CLEAR_K
    ]
    cold = [case for case in _at(lost, ("before arming", "start")) if case not in clear]
    return [
        *_p95("sensor open, shorted or off, 40 K up", clear, "<= 3"),
        *_p95("sensor shorted or off, cold start", cold, "<= 45"),
    ]


def _mild(cases):
    return [row for name in MILD for row in _hidden(cases, name, "<= 280")]


def _hidden(cases, name, bar):
    found = _of(cases, name)
    unseen = [case["max_board_c"] for case in found if not case["detected"]]
    return [
        (f"{name}, hottest unseen", max(unseen, default=0.0), "C", bar),
        (f"{name}, seen of {len(found)}", len(found) - len(unseen), "cases", "printed"),
    ]


def _chip(cases):
    return [
        *_p95("controller hung, both outputs off", _of(cases, "controller-hung"), "<= 2")[:1],
        *_p95("power lost, both outputs off", _of(cases, "power-loss"), "<= 0")[:1],
    ]


def _false(spread, found, bar):
    runs = found["fresh_runs"]
    return (f"false trips at {spread}, of {runs} fresh runs", found["false_trips"], "runs", bar)


def _kind(found):
    welds = _of(found["cases"], "relay-shorted")
    return [
        *_p95("at 20 %: weld, since duty <= 0.6", since_low_duty(welds), "printed")[:1],
        *_p95("at 20 %: dead heater", _of(found["cases"], "relay-open"), "printed"),
        _false("20 %", found, "<= 0"),
    ]
