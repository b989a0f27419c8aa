"""One source, one plan, one draw: every fault at every moment, and the same run without any.

A run is driven once up to each moment; each fault goes on from a copy of it. So that a hundred
cases cost little more than the time that their faults are on.
"""

from __future__ import annotations

import copy
from collections import deque
from collections.abc import Iterable
from dataclasses import asdict, dataclass, replace
from random import Random
from typing import Any

from heatcontroller.states import ARMED, IDLE, RUNNING, TRIPPED
from heatcore import codes
from heatsim import faults, physics, seeds
from heatsim.faults import Fault
from heatsim.loop import TICK_S, Line, Rig, SimulatedController
from heatsim.params import PlantParams
from heatsim.plant import Plant

BEFORE = "before arming"
RECENT_S = 30.0  # commanded duty is told as its mean over so long
RECENT_TICKS = round(RECENT_S / TICK_S)
FULL_DUTY = 10_000
LOW_DUTY = 0.6
# Nothing here goes on heating by itself for longer than this after its heater is off.
COASTS_S = 40.0
# Both relays welded: watched for so long, or until the board is this hot.
WATCHED_S = 900.0
FIRE_C = 400.0
LIMIT_C = 300.0
DOOR_DELAY_S = (0.0, 15.0)
NEVER_OPENED = 0.1  # share of fresh runs whose door nobody opens


@dataclass(frozen=True)
class Moment:
    """A point of a plan, `at_s` after heating begins."""

    name: str
    at_s: float


@dataclass(frozen=True)
class Setting:
    """A source with its sensor somewhere and the plan made for both, and how far it varies."""

    source: str
    sensor: str
    params: PlantParams
    plan: bytes
    moments: tuple[Moment, ...]
    spread: float


@dataclass
class Case:
    """What one fault came to. `seconds_to_off` None: undetected, or heat that nothing took off.

    `mean_duty`: as commanded over the last `RECENT_S` before it. `low_duty_from_s`: when that mean
    was first `LOW_DUTY` or less after it; a weld under full duty changes and shows nothing. What is
    struck before any heat, or watched for its outputs alone, leaves the last four as they are.
    """

    fault: str
    moment: str
    source: str
    sensor: str
    seed: int
    detected: bool
    seconds_to_off: float | None
    max_board_c: float
    at_s: float
    trip: str
    mean_duty: float = 1.0
    low_duty_from_s: float | None = None
    above_junction_k: float = 0.0
    seconds_to_300_c: float | None = None


def faulty(setting: Setting, names: Iterable[str], seed: int) -> list[dict[str, Any]]:
    """All these faults at all moments of one draw, as `Case` in JSON values."""
    wanted = list(names)
    early = [name for name in wanted if not faults.KINDS[name].needs_run]
    cases = [_struck_before(setting, name, seed) for name in early]
    base = _Watched(_started(_rig(setting, seed), setting.plan))
    for moment in setting.moments:
        base.run_to(moment.at_s)
        cases += [_struck(base, setting, name, moment, seed) for name in wanted]
    return [asdict(case) for case in cases]


def fresh(setting: Setting, seed: int) -> dict[str, Any]:
    """A run without a fault: whether it tripped, and how hot the board got."""
    rig = _fresh_rig(setting, seed)
    rest_s = Random(f"rest {seed}").uniform(*seeds.RESTED_S)
    watched = _Watched(_started(rig, setting.plan, rest_s))
    watched.run_out()
    return {
        "source": setting.source,
        "sensor": setting.sensor,
        "seed": seed,
        "trip": watched.trip,
        "tripped_s": watched.detected_s,
        "door_after_s": rig.door_after_s,
        "max_board_c": watched.highest_c,
    }


def _rig(setting: Setting, seed: int) -> Rig:
    drawn = seeds.draw(setting.params, seed, spread=setting.spread)
    return Rig(Plant(drawn.params), drawn.sensor, drawn.mains, reads=setting.sensor)


def _fresh_rig(setting: Setting, seed: int) -> Rig:
    rng = Random(f"fresh {seed}")
    rig = _rig(setting, seed)
    never = rng.random() < NEVER_OPENED
    rig.door_after_s = None if never else rng.uniform(*DOOR_DELAY_S)
    plant: Any = rig.plant
    plant.reset(rig.ambient_c, rig.ambient_c + rng.uniform(0.0, seeds.WARM_K))
    return rig


class Refused(Exception):
    """The controller would not begin: its code for why, and the controller as it stands."""

    def __init__(self, code: str, controller: SimulatedController) -> None:
        self.code, self.controller = code, controller
        super().__init__(code)


def _started(rig: Rig, plan: bytes, rest_s: float = 0.0) -> SimulatedController:
    """Armed after a rest, and heating, or tripped at that. Raises `Refused`."""
    controller = SimulatedController(rig, _nobody)
    while controller.now_ms < rest_s * 1000:
        controller.tick()
    refused = controller.arm(controller.put(plan)) or controller.start()
    if refused:
        raise Refused(refused[0], controller)
    while controller.machine.state == ARMED:
        controller.tick()
    if controller.machine.state == IDLE:
        raise Refused("start window", controller)
    return controller


def _nobody(line: Line) -> None:
    return


class _Watched:
    """A controller, and what an onlooker with a bead in the board writes down."""

    def __init__(self, controller: SimulatedController) -> None:
        self.controller = controller
        self.time_s = 0.0
        self.highest_c = -273.0
        self.detected_s: float | None = None
        self.heated_s = 0.0
        self.limit_s: float | None = None
        self.low_duty_s: float | None = None
        self.trip = ""
        self._duties: deque[int] = deque(maxlen=RECENT_TICKS)

    @property
    def mean_duty(self) -> float:
        """Commanded, 0..1, over the last `RECENT_S`; before that it counts as 1: nobody knows."""
        unknown = RECENT_TICKS - len(self._duties)
        return (sum(self._duties) / FULL_DUTY + unknown) / RECENT_TICKS

    @property
    def above_junction_k(self) -> float:
        """How far the bead is above the cold junction."""
        rig = self.controller.rig
        return self.controller.temperatures[rig.reads] - rig.ambient_c

    @property
    def off_s(self) -> float | None:
        """When the heater was last on, or meant to be; None where nothing took the heat off."""
        if self.detected_s is None or self.controller.heat:
            return None
        return self.heated_s or self.detected_s

    def copy(self) -> _Watched:
        """Goes on by itself from here; the time starts anew."""
        # the plant's engine is a module, which a deep copy can't but leave alone
        twin = _Watched(copy.deepcopy(self.controller, {id(physics): physics}))
        twin._duties = self._duties.copy()
        return twin

    def refuse(self, code: str) -> None:
        """It never began to heat."""
        self.trip, self.detected_s = f"refused: {code}", 0.0
        self._see_board(self.controller.temperatures["board"])

    def run_to(self, time_s: float) -> None:
        while self.time_s < time_s:
            self.tick()

    def run_out(self) -> None:
        """To where nothing more can happen: off and cooling, or on for good."""
        while not self._is_over():
            self.tick()

    def tick(self) -> None:
        controller = self.controller
        controller.tick()
        self.time_s += TICK_S
        self._duties.append(controller.machine.command.duty)
        if controller.heat or controller.machine.command.duty:
            self.heated_s = self.time_s
        self._see_board(controller.temperatures["board"])
        if self.low_duty_s is None and self.mean_duty <= LOW_DUTY:
            self.low_duty_s = self.time_s
        if self.detected_s is None and self._has_stopped():
            self.detected_s = self.time_s

    def _see_board(self, board_c: float) -> None:
        self.highest_c = max(self.highest_c, board_c)
        if self.limit_s is None and board_c >= LIMIT_C:
            self.limit_s = self.time_s

    def _has_stopped(self) -> bool:
        """By a rule: a trip, or a run ended before its time."""
        machine = self.controller.machine
        if machine.state == TRIPPED:
            self.trip = codes.TRIP_NAMES.get(machine.trip, str(machine.trip))
        elif machine.command.note == codes.NOTE_DOOR_LEFT_OPEN:
            self.trip = "door_left_open"
        return bool(self.trip)

    def _is_over(self) -> bool:
        if self.controller.machine.state in (ARMED, RUNNING):
            return False
        coasted_s = self.time_s - max(self.heated_s, self.detected_s or 0.0)
        is_hot = self.controller.temperatures["board"] > FIRE_C
        return coasted_s > COASTS_S or self.time_s > WATCHED_S or is_hot


def _struck(base: _Watched, setting: Setting, name: str, moment: Moment, seed: int) -> Case:
    watched = base.copy()
    duty, above_k = watched.mean_duty, watched.above_junction_k
    faults.strike(watched.controller, name)
    watched.run_out()
    case = _case(watched, setting, name, moment, seed)
    return replace(case, mean_duty=round(duty, 3), above_junction_k=round(above_k, 1))


def _struck_before(setting: Setting, name: str, seed: int) -> Case:
    rig = replace(_rig(setting, seed), faults=(Fault(name, -1.0),))
    before = Moment(BEFORE, 0.0)
    try:
        watched = _Watched(_started(rig, setting.plan))
    except Refused as refused:
        watched = _Watched(refused.controller)
        watched.refuse(refused.code)
        return _case(watched, setting, name, before, seed)
    watched.run_out()
    return _case(watched, setting, name, before, seed)


def _case(watched: _Watched, setting: Setting, name: str, moment: Moment, seed: int) -> Case:
    return Case(
        fault=name,
        moment=moment.name,
        source=setting.source,
        sensor=setting.sensor,
        seed=seed,
        detected=watched.detected_s is not None,
        seconds_to_off=watched.off_s,
        max_board_c=round(watched.highest_c, 1),
        at_s=moment.at_s,
        trip=watched.trip,
        low_duty_from_s=watched.low_duty_s,
        seconds_to_300_c=watched.limit_s,
    )
