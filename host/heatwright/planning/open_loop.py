"""Plans without feedback: the guided measuring run, full heat, twice part heat, door open at peak.

Heat ends at readings of the sensor, found on the model of the kind so that even the hottest
plausible source of that kind leaves the board whole; the controller's own ceilings stand besides.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from random import Random
from typing import Any

import numpy as np

from heatcore import limits
from heatcore import plan as core
from heatcore.numbers import clamp
from heatsim.batch import inputs_table, simulate_compiled
from heatsim.params import PlantParams
from heatsim.plant import NODES, STEP_S
from heatsim.seeds import KIND_SPREAD, variation
from heatwright.planning import plan_file
from heatwright.planning.tuning import Floats
from heatwright.records.units import duty_from_fraction, mc_from_c, ms_from_s

FULL, PART, PART_HEATS = limits.DUTY_MAX / 10_000, 0.7, 2
# Part heat must be able to go this far beyond the peak, or it takes for ever to get there.
PART_REACHES_K = 25.0
# First near the soak, to see what is stored; then to where solder melts, as fast as soldering is.
FIRST_C, PEAK_C = 165.0, 225.0
# The board is scrap, but it must not char or smoke in the hottest source of the kind either.
HIGHEST_C = 255.0
OFF_S, COAST_S, OPEN_S = 60.0, 60.0, 240.0
# Opened any sooner it would be no coasting to its peak; a person takes a moment besides.
SOONEST_OPEN_S = 3.0
LONGEST_HEAT_S = 900.0
# All heats together may take a third longer than in the slowest source of the kind; a controller's
# configuration allows half an hour for a whole run.
SLOWER, LONGEST_RUN_S = 4 / 3, 1800.0
# Sources drawn like this one, the nominal besides; the hottest of them sets the ceiling.
DRAWN = 19
LOWER_K, TRIES = 10.0, 8
SENSOR_ROOM_K = 15.0
RISE_ROOM = 1.5
ROOM_C = (0.0, 45.0)
REST_S = 600
# What the four parts of the run are called in its record.
STAGES = ("preheat", "soak", "ramp_up", "ramp_down")
# A step of duty takes one tick.
EDGE_S = 0.25
# Heat goes down slowly, and starts lower where that is not enough (sand): cut at full heat, a board
# may coast on by more than a controller with no model takes for anything but a welded relay.
FALL_S = 20.0
MOST_COAST_K = 0.9 * limits.RISE_OFF_LOOSE_MK / 1000
BOARD = NODES.index("board")


@dataclass(frozen=True)
class Heats:
    """Readings at which heat ends, first and later, and the duties, full and part; when after the
    last the board is hottest and the door opens, and how hot and how fast the sensor gets in any
    plausible source."""

    first_c: float
    second_c: float
    full: float
    part: float
    opens_after_s: float = COAST_S
    sensor_max_c: float = 0.0
    rise_max_k_s: float = 0.0
    heating_s: float = 0.0


def measuring_plan(params: PlantParams, reads: str = "sensor", ambient_c: float = 25.0) -> bytes:
    """The `duty` plan of a guided measuring run; ``reads`` is the node that the sensor sits at."""
    heats = safe_heats(params, NODES.index(reads), ambient_c)
    pulses = [(heats.full, heats.first_c), *[(heats.part, heats.second_c)] * PART_HEATS]
    begins_s = [at * (EDGE_S + FALL_S + OFF_S) for at in range(len(pulses))]
    off_s = begins_s[-1] + EDGE_S + FALL_S
    open_s = off_s + heats.opens_after_s
    end_s = open_s + OPEN_S
    knots = [
        *(knot for at_s, (u, _) in zip(begins_s, pulses, strict=True) for knot in _pulse(at_s, u)),
        (end_s, 0.0),
    ]
    starts_s = [*begins_s, off_s]
    stretch_s = min(SLOWER * heats.heating_s, LONGEST_RUN_S - end_s - OFF_S)
    doc: dict[str, Any] = {
        "plan": core.VERSION,
        "name": "measuring run",
        "id": "",
        "law": "duty",
        "tick_ms": limits.TICK_MS,
        "t_ms": [ms_from_s(at_s) for at_s, _ in knots],
        "y_mc": [],
        "u": [duty_from_fraction(u) for _, u in knots],
        "b_mc": [],
        "gains": [],
        "stages": [[ms_from_s(at_s), stage] for at_s, stage in zip(starts_s, STAGES, strict=True)],
        "waits": [_wait(at_s, *pulse) for at_s, pulse in zip(begins_s, pulses, strict=True)],
        "stretch_ms": ms_from_s(stretch_s),
        "limits": _limits(heats, end_s + stretch_s),
        "deviation": [],
        "start": {"sensor_min_mc": mc_from_c(ROOM_C[0]), "sensor_max_mc": mc_from_c(ROOM_C[1]),
                  "rest_min_s": REST_S},
        "door_cue_ms": ms_from_s(open_s),
        "host_lost": "stop",
    }  # fmt: skip
    return plan_file.with_id(doc)


def _pulse(at_s: float, duty: float) -> list[tuple[float, float]]:
    """A tick of heat, at the end of which the plan waits for the sensor to get there; then less."""
    rise = [(at_s - EDGE_S, 0.0)] if at_s else []
    return [*rise, (at_s, duty), (at_s + EDGE_S, duty), (at_s + EDGE_S + FALL_S, 0.0)]


def _wait(at_s: float, duty: float, value_c: float) -> list[Any]:
    held = duty_from_fraction(duty)
    longest_ms = ms_from_s(LONGEST_HEAT_S)
    return [ms_from_s(at_s + EDGE_S), "above", mc_from_c(value_c), longest_ms, held]


def _limits(heats: Heats, run_s: float) -> dict[str, int]:
    return {
        "sensor_max_mc": min(mc_from_c(heats.sensor_max_c + SENSOR_ROOM_K), limits.SENSOR_MAX_MC),
        "board_max_mc": min(mc_from_c(HIGHEST_C + SENSOR_ROOM_K), limits.BOARD_MAX_MC),
        "run_max_ms": min(ms_from_s(run_s + OFF_S), limits.RUN_MAX_MS),
        "rise_max_mk_s": clamp(
            round(RISE_ROOM * heats.rise_max_k_s * 1000), 1, limits.RISE_MAX_MK_S
        ),
    }


def safe_heats(params: PlantParams, node: int, ambient_c: float) -> Heats:
    """Lower the second peak until the hottest plausible board stays below its ceiling."""
    rng = Random("measuring run")
    drawn = [params, *(variation(params, KIND_SPREAD, rng) for _ in range(DRAWN))]
    full, part = FULL, PART if _reaches(params, ambient_c, PART) else FULL
    peak_c = PEAK_C
    for _ in range(TRIES):
        ends_c = _nominal_ends(params, node, ambient_c, peak_c, (full, part))
        heats = Heats(*ends_c, full, part)
        duties = [duty(one, node, ambient_c, heats) for one in drawn]
        paths = [_simulated(one, ambient_c, own) for one, own in zip(drawn, duties, strict=True)]
        hottest_c = max(float(path[:, BOARD].max()) for path in paths)
        pairs = zip(duties, paths, strict=True)
        coasts_k = np.max([_coasts_k(own, path[:, node]) for own, path in pairs], axis=0)
        if hottest_c <= HIGHEST_C and coasts_k.max() <= MOST_COAST_K:
            break
        if hottest_c > HIGHEST_C:
            peak_c -= max(LOWER_K, (hottest_c - HIGHEST_C) / 2)
        lower = MOST_COAST_K / np.maximum(coasts_k, MOST_COAST_K)
        full, part = float(full * lower[0]), float(part * lower[1])
    steps = max(len(path) for path in paths)
    return replace(
        heats,
        opens_after_s=_opens_after_s(paths[0]),
        heating_s=steps * STEP_S - COAST_S - PART_HEATS * OFF_S - (1 + PART_HEATS) * FALL_S,
        sensor_max_c=max(float(path[:, node].max()) for path in paths),
        rise_max_k_s=max(float(np.diff(path[:, node]).max()) / STEP_S for path in paths),
    )


def _coasts_k(duties: Sequence[float], reads_c: Floats) -> tuple[float, float]:
    """How far the reading goes on rising after the first heat, and at most after the others."""
    on = np.array(duties) * 10_000 >= limits.OFF_DUTY
    ends = np.flatnonzero(on[:-1] & ~on[1:]) + 1
    window = round(OFF_S / STEP_S)
    rises = [float(reads_c[at : at + window].max() - reads_c[at]) for at in ends]
    return rises[0], max(rises[1:], default=0.0)


def _opens_after_s(nominal: Floats) -> float:
    """Open cooling is learnt from its hottest: the two heats before have coasted with it shut."""
    coasting = nominal[-round(COAST_S / STEP_S) :, BOARD]
    return max(float(np.argmax(coasting)) * STEP_S, SOONEST_OPEN_S)


def duty(params: PlantParams, node: int, ambient_c: float, heats: Heats) -> list[float]:
    """The duty of each step that this source gets in a measuring run, to the end of coasting."""
    done = _until(params, node, ambient_c, [], heats.full, heats.first_c)
    off = [0.0] * round(OFF_S / STEP_S)
    for _ in range(PART_HEATS):
        done = _until(params, node, ambient_c, [*done, *off], heats.part, heats.second_c)
    return [*done, *([0.0] * round(COAST_S / STEP_S))]


def _falling(duty: float) -> list[float]:
    steps = round(FALL_S / STEP_S)
    return [duty * (1.0 - at / steps) for at in range(steps)]


def _reaches(params: PlantParams, ambient_c: float, part: float) -> bool:
    held = _simulated(params, ambient_c, [part] * round(LONGEST_HEAT_S / STEP_S))
    return float(held[-1, BOARD]) > PEAK_C + PART_REACHES_K


def _nominal_ends(
    params: PlantParams,
    node: int,
    ambient_c: float,
    peak_c: float,
    duties: tuple[float, float],
) -> tuple[float, float]:
    """Readings at the end of each heat, so that the nominal board coasts to 165 C and the peak."""
    full, part = duties
    first = _cut(params, ambient_c, [], full, min(FIRST_C, peak_c - 40.0))
    off = [0.0] * round(OFF_S / STEP_S)
    second = _cut(params, ambient_c, [*first, *off], part, peak_c)
    path = _simulated(params, ambient_c, second)
    fall = round(FALL_S / STEP_S)
    return float(path[len(first) - fall, node]), float(path[len(second) - fall, node])


def _cut(
    params: PlantParams, ambient_c: float, before: list[float], duty: float, peak_c: float
) -> list[float]:
    """Duty a step up to where heat is off so that the board coasts to this peak."""
    coast = [0.0] * round(2 * COAST_S / STEP_S)
    fall = _falling(duty)
    low, high = 1, round(LONGEST_HEAT_S / STEP_S)
    while high - low > 1:
        middle = (low + high) // 2
        path = _simulated(params, ambient_c, [*before, *([duty] * middle), *fall, *coast])
        low, high = (middle, high) if path[:, BOARD].max() < peak_c else (low, middle)
    return [*before, *([duty] * low), *fall]


def _until(
    params: PlantParams,
    node: int,
    ambient_c: float,
    before: list[float],
    duty: float,
    value_c: float,
) -> list[float]:
    steps = round(LONGEST_HEAT_S / STEP_S)
    path = _simulated(params, ambient_c, [*before, *([duty] * steps)])[len(before) :, node]
    reached = np.flatnonzero(path >= value_c)
    held = int(reached[0]) if reached.size else steps
    return [*before, *([duty] * held), *_falling(duty)]


def _simulated(params: PlantParams, ambient_c: float, duty: Sequence[float]) -> Floats:
    inputs = inputs_table(duty, fan=1.0, ambient_c=ambient_c)
    states: Floats = simulate_compiled([params], inputs)[0]
    return states
