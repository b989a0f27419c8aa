"""One run with a simulated source, sensor and person, at full speed."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from random import Random

import numpy as np

from heatcore.inputs import OK, Inputs
from heatsim.compiled import engine
from heatsim.params import PlantParams
from heatsim.plant import Plant
from heatsim.seeds import NOMINAL_SEED, draw_surroundings
from heatsim.sensor import Sensor
from heatwright.coaching.advice import Advice
from heatwright.coaching.advisor import LONGEST_S
from heatwright.coaching.coach import Coach, Seen
from heatwright.coaching.follower import near
from heatwright.coaching.gun import nearest
from heatwright.coaching.knob import Hand, Setting
from heatwright.coaching.person import Eyes, Person
from heatwright.documents import Paste
from heatwright.judging.curves import Floats

STEP_S = 1.0
ROOM_C = 25.0
# Long enough for a person who lifts late, and for the board to cool.
END_S = LONGEST_S + 240.0


@dataclass(frozen=True)
class Moment:
    """One instant of a run: what the sensor said, what the hand does, and the simulated truth."""

    now_s: float
    reading_c: float | None
    setting: Setting
    is_lifted: bool
    truth: dict[str, float]
    is_marked: bool = False


@dataclass
class Rehearsed:
    """A run as it went: times and true boards, and what was said."""

    time_s: list[float] = field(default_factory=list)
    board: list[float] = field(default_factory=list)
    small: list[float] = field(default_factory=list)
    large: list[float] = field(default_factory=list)
    advice: list[Advice] = field(default_factory=list)

    @property
    def board_c(self) -> Floats:
        return np.array(self.board)

    @property
    def times_s(self) -> Floats:
        return np.array(self.time_s)


def source_of_seed(params: PlantParams, seed: int) -> PlantParams:
    """Nought is the source as its file has it; any other is one within ±15 % of it."""
    if seed == NOMINAL_SEED:
        return params
    return near(params, Random(f"coached source {seed}"))


def person_of_seed(seed: int) -> Person:
    return Person(Random(f"coached person {seed}"))


def eyes_of_seed(seed: int, paste: Paste) -> Eyes:
    return Eyes(Random(f"coached eyes {seed}"), paste.liquidus_c)


def rehearse(
    coach: Coach,
    params: PlantParams,
    person: Person,
    seed: int,
    reads: str = "board_sensor",
    watch: Callable[[Moment, Advice | None], None] | None = None,
    eyes: Eyes | None = None,
    read_every_s: float | None = STEP_S,
) -> Rehearsed:
    """Run to the coach's end; ``watch`` gets every moment, and the advice given at it.

    ``eyes`` mark the melt; the sensor is read every ``read_every_s``; None for never.
    """
    plant = Plant(nearest(params), engine())
    plant.reset(ROOM_C)
    _, sensor = draw_surroundings(seed)
    inputs, run = Inputs(), Rehearsed()
    for tick in range(round(END_S / STEP_S)):
        truth = plant.temperatures()
        moment = _moment(tick, truth, sensor, inputs, reads, coach.hand, person)
        if read_every_s is None or moment.now_s % read_every_s:
            moment = replace(moment, reading_c=None)
        if eyes and eyes.press(moment.now_s, truth["board"]):
            moment = replace(moment, is_marked=True)
            coach.mark(moment.now_s)
        advice = coach.tell(Seen(moment.now_s, moment.reading_c))
        if advice:
            run.advice.append(advice)
            person.hear(advice)
        run.time_s.append(moment.now_s)
        run.board.append(truth["board"])
        run.small.append(truth["small_part"])
        run.large.append(truth["large_part"])
        if watch:
            watch(moment, advice)
        if coach.is_done:
            break
        person.act(moment.now_s)
        setting = coach.hand.effect(person.setting, person.is_lifted)
        plant.step(STEP_S, setting.duty, setting.door, 1.0)
    return run


def _moment(
    tick: int,
    truth: dict[str, float],
    sensor: Sensor,
    inputs: Inputs,
    reads: str,
    hand: Hand,
    person: Person,
) -> Moment:
    now_s = tick * STEP_S
    sensor.serve(round(now_s * 1000), truth[reads], ROOM_C)
    sensor.fill(round(now_s * 1000), inputs)
    reading_c = inputs.sensor_mc / 1000 if inputs.sensor_status == OK else None
    setting = hand.effect(person.setting, person.is_lifted)
    return Moment(now_s, reading_c, setting, person.is_lifted, truth)
