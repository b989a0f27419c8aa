"""What a plan expects of the source's deviations: rows for the core's residual rule.

Per segment of the plan a second-order model from u - u* to y - y* is fitted to the source itself,
simulated from where it stands at that moment. The thresholds come from sources like this one, run
fault-free through the very core: see `sound`.
"""

from __future__ import annotations

import copy
import json
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from heatcore import plan as core
from heatcore.codes import TRACK
from heatcore.drift import MILLE
from heatcore.limits import TICK_MS
from heatcore.line import CRC_DIGITS
from heatcore.residual import BLOCK_TICKS, MEMORY
from heatsim import seeds
from heatsim.mains import Mains
from heatsim.params import PlantParams
from heatsim.physics import State
from heatsim.plant import Plant
from heatsim.sensor import CONVERTERS, Sensor
from heatwright.documents import Source
from heatwright.planning import sound
from heatwright.planning.model import FAN
from heatwright.planning.plan_file import with_id
from heatwright.planning.tuning import Floats

TICK_S = TICK_MS / 1000
FULL_DUTY = 10_000
# A source's answer changes with its temperature: a model a minute follows it closely enough.
SEGMENT_MS = 60_000
# The duty is pushed up and down by this for as long as a weld may take to be seen.
PUSH_DUTY = 0.2
PUSH_BLOCKS = (12, 10, 12)
# Two lags, as what each keeps of itself over a block, and what a block's duty does in the two
# blocks after it. A source always comes back: neither lag keeps all.
FIRST_GUESS = (0.97, 0.7, 0.0, 0.3)
LEAST, MOST = (0.0, 0.0, -50.0, -50.0), (0.999, 0.999, 50.0, 50.0)
SHIFT = 16

# Above the most that a sound source shows: three thousand runs are more than these few.
WARN_ROOM, TRIP_ROOM, DRIFT_ROOM = 1.15, 1.25, 1.1
# And of a reading's noise and steps they show more, by so many standard deviations of it.
NOISE_SDS = 2.0
READING = CONVERTERS["max31855"]
# A sound source's push, whatever the source.
LEAST_PUSH_MK = 400
# Between the two thresholds a fault trips after about so long.
COUNTED_S = 8.0
# Blocks after which nothing is left of one reading's noise.
FADED_BLOCKS = 120


def residual_limits(
    source: Source,
    plan: bytes,
    *,
    reads: str = "sensor",
    ambient_c: float = 25.0,
    params: PlantParams | None = None,
    state: State | None = None,
) -> bytes:
    """The same plan with its `deviation` rows made for this source, sealed anew.

    A source that was never measured gets thresholds for the spread of its kind. ``reads`` is the
    node that the control sensor reads. ``params`` are the source's with another board in it,
    ``state`` is a source still warm. A plan without a trajectory comes back as it was.
    """
    found = core.read(plan)
    if found.law != TRACK:
        return plan
    params = params or source.plant_params()
    rows = [_row(one) for one in segments(params, found, reads, ambient_c, state)]
    doc = json.loads(plan[: -CRC_DIGITS - 1])
    unlimited = core.write({**doc, "deviation": rows})
    watched = sound.Watched(
        unlimited, [row[0] for row in rows], _watched_ms(found), reads, ambient_c
    )
    doc["deviation"] = _with_limits(rows, watched, params, spread_of(source), state)
    return with_id(doc)


def noticed_after(
    source: Source, plan: bytes, conducts: float, *, reads: str = "sensor", ambient_c: float = 25.0
) -> tuple[float, float] | None:
    """How soon, s, a heater stuck half-way through is noticed, and at which duty (0..1) it struck.

    ``conducts`` 1 is a relay welded shut, 0 a dead heater. On the nominal source; None where it is
    not noticed before the door cue.
    """
    found = core.read(plan)
    at_ms = _watched_ms(found) // 2
    one = sound.Sound(source.plant_params(), Mains(), Sensor())
    watched = sound.Watched(plan, [0], _watched_ms(found), reads, ambient_c)
    for loop in sound.run(one, watched, sound.Stuck(at_ms, conducts)):
        if loop.command.trip:
            return (loop.plan_ms - at_ms) / 1000, _duty(found, at_ms)
    return None


def spread_of(source: Source) -> float:
    """How far the source may be from its file: measured, or known by its kind only."""
    return seeds.MEASURED_SPREAD if source.generation else seeds.KIND_SPREAD


@dataclass(frozen=True)
class Segment:
    """How the sensor answers from `from_ms` on: e[k] = a1 e[k-1] + a2 e[k-2] + b1 v[k-1] + ..."""

    from_ms: int
    a1: float
    a2: float
    b1: float
    b2: float


def segments(
    params: PlantParams,
    plan: core.Plan,
    reads: str,
    ambient_c: float,
    state: State | None = None,
) -> list[Segment]:
    """The source's models along the plan, up to the door cue or the plan's end."""
    starts = _starts(_watched_ms(plan))
    ends = [*starts[1:], _watched_ms(plan)]
    moments = {at: (at + end) // 2 for at, end in zip(starts, ends, strict=True)}
    plants = _along(params, plan, ambient_c, list(moments.values()), state)
    return [
        Segment(at, *_fit(plants[middle], _duty(plan, middle), reads))
        for at, middle in moments.items()
    ]


def _starts(watched_ms: int) -> list[int]:
    """A remainder too short to show what sound sources do goes with the segment before."""
    return list(range(0, max(watched_ms - SEGMENT_MS // 2, 0) + 1, SEGMENT_MS))


def _watched_ms(plan: core.Plan) -> int:
    end_ms = int(plan.t_ms[-1])
    return end_ms if plan.door_cue_ms == core.NO_CUE else min(plan.door_cue_ms, end_ms)


def _duty(plan: core.Plan, at_ms: float) -> float:
    return float(np.interp(at_ms, plan.t_ms, plan.u)) / FULL_DUTY


def _along(
    params: PlantParams,
    plan: core.Plan,
    ambient_c: float,
    moments: Sequence[int],
    state: State | None,
) -> dict[int, Plant]:
    """The nominal source at each of these moments of the plan."""
    plant = Plant(params)
    plant.reset(ambient_c)
    plant.state = state or plant.state
    found: dict[int, Plant] = {}
    now_ms = 0
    for moment in moments:
        while now_ms < moment:
            plant.step(TICK_S, _duty(plan, now_ms), fan=FAN)
            now_ms += TICK_MS
        found[moment] = copy.copy(plant)
    return found


def _fit(plant: Plant, duty: float, reads: str) -> list[float]:
    """The four coefficients, in K and duty 0..1 a block: the whole course is fitted, not each step.

    A source with more than two lags is then followed on average; fitted step by step, the lags left
    out would come back as a model that runs away.
    """
    from scipy.optimize import least_squares

    v = np.array(_pushes(duty))
    e = _answer(plant, duty, v, reads)
    found = least_squares(_misses, FIRST_GUESS, bounds=(LEAST, MOST), args=(v, e))
    return list(_coefficients(found.x))


def _answer(plant: Plant, duty: float, pushes: Floats, reads: str) -> Floats:
    """What the pushes add to the sensor, K, as means over a block."""
    left, pushed = copy.copy(plant), copy.copy(plant)
    blocks = [
        [
            _after_tick(pushed, duty + push, reads) - _after_tick(left, duty, reads)
            for _ in range(BLOCK_TICKS)
        ]
        for push in pushes
    ]
    return np.array(np.mean(blocks, axis=1))


def _coefficients(x: Floats) -> tuple[float, float, float, float]:
    """a1, a2, b1 and b2 of two lags, each as the share of itself that it keeps over a block."""
    slow, quick, b1, b2 = x.tolist()
    return slow + quick, -slow * quick, b1, b2


def _misses(x: Floats, v: Floats, e: Floats) -> Floats:
    return _course(x, v) - e


def _course(x: Floats, v: Floats) -> Floats:
    from scipy.signal import lfilter

    a1, a2, b1, b2 = _coefficients(x)
    return np.asarray(lfilter([0.0, b1, b2], [1.0, -a1, -a2], v))


def _after_tick(plant: Plant, duty: float, reads: str) -> float:
    return plant.step(TICK_S, duty, fan=FAN)[reads]


def _pushes(duty: float) -> list[float]:
    """Up, down and level again, or the other way round where there is no room above."""
    up = PUSH_DUTY if duty + PUSH_DUTY <= 1.0 else -PUSH_DUTY
    signs = (1.0, -1.0 if duty >= PUSH_DUTY and duty + PUSH_DUTY <= 1.0 else 0.0, 0.0)
    return [s * up for s, n in zip(signs, PUSH_BLOCKS, strict=True) for _ in range(n)]


def _row(one: Segment) -> list[int]:
    """In integers, thresholds still out of reach; duty counts 0..10000, temperature in mK."""
    a = [round(x * (1 << SHIFT)) for x in (one.a1, one.a2)]
    b = [round(x * 1000 / FULL_DUTY * (1 << SHIFT)) for x in (one.b1, one.b2)]
    return [one.from_ms, *a, *b, SHIFT, *3 * [core.DEVIATION_MAX]]


def _with_limits(
    rows: list[list[int]],
    watched: sound.Watched,
    params: PlantParams,
    spread: float,
    state: State | None,
) -> list[list[int]]:
    courses = sound.courses(sound.ensemble(params, spread, state), watched)
    most = sound.most_pushed(courses, len(rows))
    pushes = [_with_noise(row, push) for row, push in zip(rows, most, strict=True)]
    drifted = sound.most_drifted(courses, [round(push * TRIP_ROOM) for push in pushes])
    wider = max(1.0, drifted * DRIFT_ROOM / MILLE)
    return [_limited(row, push * wider) for row, push in zip(rows, pushes, strict=True)]


def _with_noise(row: list[int], push_mk: int) -> float:
    return max(push_mk + NOISE_SDS * _noise_mk(row), LEAST_PUSH_MK)


def _noise_mk(row: list[int]) -> float:
    """How far noise and steps of the reading alone push, mK: one standard deviation."""
    from scipy.signal import lfilter

    a1, a2 = (x / (1 << SHIFT) for x in row[1:3])
    kept = 1.0 - 1.0 / MEMORY
    once = np.eye(1, FADED_BLOCKS)[0]
    answer = lfilter([1.0, -a1, -a2], [1.0, -a1 * kept, -a2 * kept**2], once)
    step_k = READING.step_k / np.sqrt(12.0)
    block_k = np.hypot(seeds.NOISE_K, step_k) / np.sqrt(BLOCK_TICKS)
    return float(1000.0 * block_k * np.linalg.norm(answer))


def _limited(row: list[int], push_mk: float) -> list[int]:
    warn_mk, trip_mk = round(push_mk * WARN_ROOM), round(push_mk * TRIP_ROOM)
    return [*row[:6], warn_mk, trip_mk, round((trip_mk - warn_mk) * COUNTED_S)]
