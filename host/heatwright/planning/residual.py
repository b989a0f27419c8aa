"""What a plan expects of the source's deviations: rows for the core's residual rule.

Per segment of the plan a second-order model from u - u* to y - y* is fitted to the source itself,
simulated from where it stands at that moment. The thresholds come from sources like this one, run
fault-free through the very core: what they do must not trip.
"""

from __future__ import annotations

import copy
import json
from bisect import bisect_right
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from heatcore import plan as core
from heatcore.codes import NOTE_WAIT_PRESS, TRACK
from heatcore.inputs import Inputs
from heatcore.limits import RUN_MAX_MS, TICK_MS
from heatcore.line import CRC_DIGITS
from heatcore.loop import ControlLoop
from heatcore.residual import BLOCK_TICKS
from heatsim import seeds
from heatsim.actuator import Actuator
from heatsim.mains import OFF_NOMINAL, Mains
from heatsim.params import PlantParams
from heatsim.physics import State
from heatsim.plant import Plant
from heatsim.sensor import Sensor
from heatwright.documents import Source
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

# The ensemble: how many draws, from seeds that no campaign uses, beside the strongest and the
# weakest source on the strongest and the weakest mains.
DRAWS = 6
FIRST_SEED = 1_000_001
# What a start just inside its window may be too warm, K.
WARM_K = 8.0
# Above the most that a sound source shows: three thousand runs are more than these few.
WARN_ROOM, TRIP_ROOM = 1.15, 1.25
# A sensor's noise and steps come to this, whatever the source.
LEAST_PUSH_MK = 400
# In the first minute a source that answers late looks like one without heat, and so few draws do
# not show the latest: of 750 fresh hot plates 5 went past what was made from them, by a tenth.
FIRST_LEAST_PUSH_MK = 1000
# Between the two thresholds a fault trips after about so long.
COUNTED_S = 8.0


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
    sound = [replace(one, state=state) for one in _ensemble(params, spread_of(source), ambient_c)]
    pushes = _sound_pushes(sound, unlimited, [row[0] for row in rows], reads, ambient_c)
    doc["deviation"] = [_with_limits(row, push) for row, push in zip(rows, pushes, strict=True)]
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
    sound = _Sound(source.plant_params(), Mains(), Sensor())
    for loop in _run(sound, found, reads, ambient_c, _Stuck(at_ms, conducts)):
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


def _with_limits(row: list[int], push_mk: int) -> list[int]:
    sound_mk = max(push_mk, LEAST_PUSH_MK if row[0] else FIRST_LEAST_PUSH_MK)
    warn_mk, trip_mk = round(sound_mk * WARN_ROOM), round(sound_mk * TRIP_ROOM)
    return [*row[:6], warn_mk, trip_mk, round((trip_mk - warn_mk) * COUNTED_S)]


@dataclass(frozen=True)
class _Sound:
    """One fault-free source, as a run meets it."""

    params: PlantParams
    mains: Mains
    sensor: Sensor
    start_c: float | None = None
    state: State | None = None


@dataclass(frozen=True)
class _Stuck:
    """From this moment on the heater conducts so much, whatever is commanded."""

    from_ms: int = RUN_MAX_MS
    conducts: float = 0.0


def _ensemble(params: PlantParams, spread: float, ambient_c: float) -> Iterator[_Sound]:
    for sign in (-1.0, 1.0):
        power_w = params.power_w * (1.0 + sign * spread)
        mains = Mains(level=1.0 + sign * OFF_NOMINAL)
        yield _Sound(replace(params, power_w=power_w), mains, Sensor(noise_k=seeds.NOISE_K))
    for number in range(DRAWS):
        drawn = seeds.draw(params, FIRST_SEED + number, spread=spread)
        warm_c = ambient_c + WARM_K if number % 2 else None
        yield _Sound(drawn.params, drawn.mains, drawn.sensor, warm_c)


def _sound_pushes(
    sound: Iterable[_Sound], plan: bytes, starts: Sequence[int], reads: str, ambient_c: float
) -> list[int]:
    """The most that sound sources are pushed in each segment, mK."""
    most = [0] * len(starts)
    for one in sound:
        for loop in _run(one, core.read(plan), reads, ambient_c):
            at = bisect_right(starts, loop.plan_ms) - 1
            most[at] = max(most[at], abs(loop.push_mk))
    return most


def _run(
    one: _Sound, plan: core.Plan, reads: str, ambient_c: float, stuck: _Stuck = _Stuck()
) -> Iterator[ControlLoop]:
    """The core on this source, tick by tick."""
    plant, actuator, given = Plant(one.params), Actuator(), Inputs()
    plant.reset(ambient_c, one.start_c)
    plant.state = one.state or plant.state
    loop = ControlLoop(plan)
    bead_c = plant.temperatures()[reads]
    given.host_age_ms = 0
    # a source that lags is waited for, and comes to the plan's last minutes late
    for now_ms in range(0, _watched_ms(plan) + plan.stretch_ms, TICK_MS):
        if loop.plan_ms >= _watched_ms(plan):
            return
        one.sensor.serve(now_ms, bead_c, ambient_c)
        one.sensor.fill(now_ms, given)
        command = loop.tick(now_ms, given)
        given.press += command.note == NOTE_WAIT_PRESS
        share = actuator.share(TICK_S, command.duty, command.relay)
        heat = stuck.conducts if now_ms >= stuck.from_ms else share
        bead_c = plant.step(TICK_S, heat, fan=FAN, mains=one.mains.ratio(now_ms / 1000))[reads]
        yield loop
