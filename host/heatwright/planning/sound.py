"""Sources like this one without a fault, run through the very core: what they show is no fault."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from random import Random

from heatcore import plan as core
from heatcore.codes import NOTE_WAIT_PRESS
from heatcore.drift import Drift
from heatcore.inputs import Inputs
from heatcore.limits import RUN_MAX_MS, TICK_MS
from heatcore.loop import ControlLoop
from heatcore.numbers import Ratio
from heatcore.residual import BLOCK_TICKS
from heatsim import seeds
from heatsim.actuator import Actuator
from heatsim.mains import OFF_NOMINAL, Mains
from heatsim.params import PlantParams
from heatsim.physics import State
from heatsim.plant import Plant
from heatsim.sensor import Sensor
from heatwright.planning.model import FAN
from heatwright.planning.warm import ARMING_S

TICK_S = TICK_MS / 1000
# How many draws, from seeds that no campaign uses, beside the strongest and the weakest source on
# the strongest and the weakest mains.
DRAWS = 6
FIRST_SEED = 1_000_001
# How a run begins differs more than how it goes on, and its first minute costs little: so many
# more of it, each on the edge of power and mains.
BEGINNINGS = 16
BEGINNING_MS = 60_000


@dataclass(frozen=True)
class Watched:
    """A plan to be watched: its bytes, where its segments begin, and what its sensor reads."""

    plan: bytes
    starts_ms: Sequence[int]
    end_ms: int
    reads: str
    ambient_c: float


@dataclass(frozen=True)
class Sound:
    """One fault-free source, as a run meets it: so warm from an earlier one, so long at rest since
    its board was laid in. ``state`` is a source whose warmth the plan was made for."""

    params: PlantParams
    mains: Mains
    sensor: Sensor
    warm_k: float = 0.0
    rest_s: float = 0.0
    state: State | None = None
    until_ms: int = RUN_MAX_MS

    def plant(self, ambient_c: float) -> Plant:
        """At the moment that heat begins, the outputs proved and the countdown over."""
        plant = Plant(self.params)
        plant.reset(ambient_c, ambient_c + self.warm_k)
        if self.state:
            plant.state = self.state
        elif self.rest_s:
            plant.step(self.rest_s + ARMING_S, 0.0)
        return plant


@dataclass(frozen=True)
class Stuck:
    """From this moment on the heater conducts so much, whatever is commanded."""

    from_ms: int = RUN_MAX_MS
    conducts: float = 0.0


@dataclass(frozen=True)
class Block:
    """What the residual made of one block: in which segment; None where it began anew."""

    segment: int
    push_mk: int | None


def ensemble(params: PlantParams, spread: float, state: State | None = None) -> Iterator[Sound]:
    """The two extremes, some draws, and the first minute of some more, each begun as runs begin."""
    for sign in (-1.0, 1.0):
        sensor = Sensor(noise_k=seeds.NOISE_K)
        yield _at_edge(Sound(params, Mains(), sensor, state=state), params, spread, sign)
    for number in range(DRAWS):
        yield _drawn(params, spread, FIRST_SEED + number, state)
    for number in range(BEGINNINGS):
        drawn = _drawn(params, spread, FIRST_SEED + DRAWS + number, state)
        sign = 1.0 if number % 2 else -1.0
        yield replace(_at_edge(drawn, params, spread, sign), until_ms=BEGINNING_MS)


def _drawn(params: PlantParams, spread: float, seed: int, state: State | None) -> Sound:
    drawn = seeds.draw(params, seed, spread=spread)
    rng = Random(f"begins {seed}")
    warm_k, rest_s = rng.uniform(0.0, seeds.WARM_K), rng.uniform(*seeds.RESTED_S)
    return Sound(drawn.params, drawn.mains, drawn.sensor, warm_k, rest_s, state)


def _at_edge(one: Sound, params: PlantParams, spread: float, sign: float) -> Sound:
    """The same with as much power, and as many volts, as there can be (or as little: -1)."""
    strong = replace(one.params, power_w=params.power_w * (1.0 + sign * spread))
    return replace(one, params=strong, mains=Mains(level=1.0 + sign * OFF_NOMINAL))


def courses(sound: Iterable[Sound], watched: Watched) -> list[list[Block]]:
    """What the core's residual makes of each of them, block by block."""
    return [list(_blocks(one, watched)) for one in sound]


def _blocks(one: Sound, watched: Watched) -> Iterator[Block]:
    before_ms = -1
    for tick, loop in enumerate(run(one, watched)):
        if tick % BLOCK_TICKS == BLOCK_TICKS - 1:
            segment = bisect_right(watched.starts_ms, loop.plan_ms) - 1
            stands = loop.plan_ms == before_ms
            yield Block(segment, None if stands else loop.push_mk)
        before_ms = loop.plan_ms


def most_pushed(found: Iterable[Iterable[Block]], segments: int) -> list[int]:
    """The most that any of them is pushed in each segment, mK."""
    most = [0] * segments
    for course in found:
        for block in course:
            most[block.segment] = max(most[block.segment], abs(block.push_mk or 0))
    return most


def most_drifted(found: Iterable[Iterable[Block]], trips_mk: Sequence[int]) -> int:
    """How far any of them moves within its run, in thousandths of these thresholds."""
    return max(_drifted(course, trips_mk) for course in found)


def _drifted(course: Iterable[Block], trips_mk: Sequence[int]) -> int:
    drift, most = Drift(Ratio()), 0
    for block in course:
        if block.push_mk is None:
            drift.restart()
            continue
        drift.see(block.push_mk, trips_mk[block.segment])
        most = max(most, abs(drift.mille))
    return most


def run(one: Sound, watched: Watched, stuck: Stuck = Stuck()) -> Iterator[ControlLoop]:
    """The core on this source, tick by tick."""
    plan = core.read(watched.plan)
    plant, actuator, given = one.plant(watched.ambient_c), Actuator(), Inputs()
    loop = ControlLoop(plan)
    bead_c = plant.temperatures()[watched.reads]
    given.host_age_ms = 0
    end_ms = min(watched.end_ms, one.until_ms)
    # a source that lags is waited for, and comes to the plan's last minutes late
    for now_ms in range(0, end_ms + plan.stretch_ms, TICK_MS):
        if loop.plan_ms >= end_ms:
            return
        one.sensor.serve(now_ms, bead_c, watched.ambient_c)
        one.sensor.fill(now_ms, given)
        command = loop.tick(now_ms, given)
        given.press += command.note == NOTE_WAIT_PRESS
        share = actuator.share(TICK_S, command.duty, command.relay)
        heat = stuck.conducts if now_ms >= stuck.from_ms else share
        volts = one.mains.ratio(now_ms / 1000)
        bead_c = plant.step(TICK_S, heat, fan=FAN, mains=volts)[watched.reads]
        yield loop
