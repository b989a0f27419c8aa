"""One trial of a plan: the core itself on one source drawn from the file's uncertainty."""

from __future__ import annotations

from dataclasses import dataclass, replace
from random import Random
from typing import Any

import numpy as np

from heatcore import plan as core
from heatcore.codes import NOTE_WAIT_PRESS, TRIP_NAMES
from heatcore.inputs import Inputs
from heatcore.limits import TICK_MS
from heatcore.loop import ControlLoop
from heatsim import seeds
from heatsim.actuator import Actuator
from heatsim.mains import Mains
from heatsim.params import PlantParams
from heatsim.physics import State
from heatsim.plant import NODES
from heatsim.sensor import Sensor
from heatwright.documents import Source
from heatwright.documents.load import for_board
from heatwright.documents.source import Spread
from heatwright.measuring.parameters import of_learnt
from heatwright.planning import warm
from heatwright.planning.knots import COOL_STEP_S
from heatwright.planning.model import BOARD, FAN, LARGE, SMALL, Model, last
from heatwright.planning.trajectory import DOOR_DELAY_S, LONGEST_COOLING_S
from heatwright.planning.tuning import Floats
from heatwright.planning.wanted import Wanted
from heatwright.planning.windows import is_decisive, is_missed, sensor_window, windows_of

TICK_S = TICK_MS / 1000
FULL_DUTY = 10_000
BEAD = NODES.index("board_sensor")
# A record goes on a while after the plan's end, until the board is surely solid.
AFTER_MS = 30_000
EVERY = 4
# What is followed after the end without a controller: a sensor in sand goes on rising.
COASTING = np.zeros(int(LONGEST_COOLING_S / COOL_STEP_S))
# Two standard deviations hold all but one draw in twenty; a wild draw is no oven.
WILDEST_SD = 2.5


@dataclass(frozen=True)
class Oven:
    """One source as a run meets it; ``offset_z`` times the file's spread is added to the board."""

    params: PlantParams
    mains: Mains
    sensor: Sensor
    offset_z: float = 0.0


def draw(source: Source, seed: int) -> Oven:
    """An oven like this one: parameters by the file's own uncertainty, mains and sensor by kind."""
    mains, sensor = seeds.draw_surroundings(seed)
    if seed == seeds.NOMINAL_SEED:
        return Oven(source.plant_params(), mains, sensor)
    rng = Random(f"oven {seed}")
    prior = of_learnt(source)
    z = np.array([_normal(rng) for _ in prior.names])
    return Oven(prior.params(z), mains, sensor, _normal(rng))


def _normal(rng: Random) -> float:
    return min(max(rng.gauss(0.0, 1.0), -WILDEST_SD), WILDEST_SD)


@dataclass(frozen=True)
class Course:
    """What happened: states once a second, and where the plan's own clock stood then.

    ``read_c`` is what the control sensor read.

    ``full_s`` is how long the heater was on as much as it may be, ``highest_c`` the highest of the
    control sensor's place, coasting long after the end included.
    """

    time_s: Floats
    states: Floats
    read_c: Floats
    duty: Floats
    plan_s: Floats
    trip: int
    full_s: float
    highest_c: float


def run(
    oven: Oven,
    plan: core.Plan,
    reads: str,
    ambient_c: float = 25.0,
    state: State | None = None,
    spread: Spread | None = None,
) -> Course:
    """Run a plan on an oven, tick by tick, with a person at the door."""
    model = Model(oven.params, ambient_c)
    now = state or model.start()
    loop, given, actuator = ControlLoop(plan), Inputs(), Actuator()
    given.host_age_ms = given.door = 0
    node, offset = NODES.index(reads), _Offset(spread, oven.offset_z)
    rows, powers, asked, read_mc, cue_ms, full = [], [], [], [], -1, 0
    inputs = np.zeros((1, 5))
    inputs[0, 2], inputs[0, 4] = FAN, ambient_c
    end_ms = plan.t_ms[-1] + plan.stretch_ms + AFTER_MS
    for now_ms in range(0, end_ms, TICK_MS):
        oven.sensor.serve(
            now_ms, now[node] + (offset.of(now[BOARD]) if node == BEAD else 0.0), ambient_c
        )
        oven.sensor.fill(now_ms, given)
        command = loop.tick(now_ms, given)
        if now_ms // TICK_MS % EVERY == 0:
            rows.append(now)
            powers.append(command.duty)
            read_mc.append(given.sensor_mc)
            asked.append(loop.plan_ms)
        given.press += command.note == NOTE_WAIT_PRESS
        cue_ms = now_ms if cue_ms < 0 and command.door_cue else cue_ms
        door = cue_ms >= 0 and now_ms - cue_ms >= DOOR_DELAY_S * 1000
        given.door = int(door)
        inputs[0, 0] = actuator.share(TICK_S, command.duty, command.relay)
        inputs[0, 1], inputs[0, 3] = float(door), oven.mains.ratio(now_ms / 1000)
        now = last(model.driven(now, inputs, TICK_S))
        full += command.duty >= core.DUTY[1]
        if (loop.ended or command.trip) and now_ms > plan.t_ms[-1]:
            break
    states = np.array(rows)
    coast = model.run(now, COASTING, inputs[0, 1], COOL_STEP_S)
    highest_c = max(float(states[:, node].max()), float(coast[:, node].max()))
    states[:, [BOARD, SMALL, LARGE, BEAD]] += offset.along(states[:, BOARD])[:, None]
    time_s = EVERY * TICK_S * np.arange(len(rows), dtype=np.float64)
    return Course(
        time_s,
        states,
        np.array(read_mc, dtype=np.float64) / 1000,
        np.array(powers, dtype=np.float64) / FULL_DUTY,
        np.array(asked, dtype=np.float64) / 1000,
        command.trip,
        full * TICK_S,
        highest_c,
    )


class _Offset:
    """What no parameter explains: a shift of the board that changes with the stage."""

    def __init__(self, spread: Spread | None, z: float) -> None:
        names = ("preheat", "soak", "ramp_up", "reflow")
        found = [getattr(spread, name) if spread else None for name in names]
        self._at_c = (100.0, 175.0, 208.0, 230.0)
        self._k = [0.0 if one is None else one.mean_k + one.sd_k * z for one in found]

    def of(self, board_c: float) -> float:
        return float(np.interp(board_c, self._at_c, self._k)) if any(self._k) else 0.0

    def along(self, board_c: Floats) -> Floats:
        found: Floats = np.interp(board_c, self._at_c, self._k)
        return found


@dataclass(frozen=True)
class Trial:
    """A plan and what it is tried for; called with a seed. Whole in itself, so that any process can
    do it."""

    plan: bytes
    source: Source
    wanted: Wanted

    def __call__(self, seed: int) -> dict[str, Any]:
        """Whether all decisive windows held on this draw, what was missed, and under what."""
        wanted = self.wanted
        oven = draw(self.source, seed)
        oven = replace(oven, params=for_board(oven.params, wanted.board, wanted.fitted))
        start = warm.started(Model(oven.params, wanted.ambient_c), wanted)
        plan = core.read(self.plan)
        found = run(oven, plan, wanted.reads, wanted.ambient_c, start, self.source.spread)
        sensor = sensor_window(found.highest_c, plan.limits[core.SENSOR_MAX] / 1000)
        measures = [*windows_of(found.time_s, found.states, wanted), sensor]
        missed = [m for m in measures if is_missed(m)]
        values = {m.name: m.value for m in measures if m.part is None}
        return {
            "works": not found.trip and not any(is_decisive(m) for m in missed),
            "missed": [[m.name, m.is_low, is_decisive(m)] for m in missed],
            "trip": TRIP_NAMES[found.trip] if found.trip else None,
            "mains": round(oven.mains.level, 3),
            "peak_c": values["peak"],
            "above_s": values["time_above_liquidus"],
        }
