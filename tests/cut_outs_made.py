"""A cut-out of the rating advised, on sources drawn anew: plain runs, and both relays welded."""

from __future__ import annotations

import copy
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from random import Random

from heatcontroller.states import ARMED, RUNNING
from heatsim import seeds
from heatsim.loop import TICK_S, Rig, SimulatedController
from heatsim.plant import Plant
from heatsim.trials import Setting
from heatwright.faulting.cut_out import PLACES, TOLERANCE_K, Room

# A run's length or so: no later is anything hot that has not been hot before.
WELDED_S = (20.0, 330.0)
WATCHED_S = 900.0
COASTS_S = 90.0


@dataclass(frozen=True)
class Tried:
    """How near a plain run came to opening it at worst, and the board's highest after a weld."""

    place: str
    spare_k: float
    board_c: float


class _Body:
    """What the cut-out is, at one place: a lump that follows it slowly."""

    def __init__(self, place: str) -> None:
        self._place = next(one for one in PLACES if one.name == place)
        self.c = 25.0

    def follow(self, temperatures: dict[str, float]) -> float:
        gap_k = temperatures[self._place.node] - self.c
        self.c += gap_k * TICK_S / (self._place.lag_s + TICK_S)
        return self.c


def tried(setting: Setting, rooms: Sequence[Room], seed: int) -> Iterator[Tried]:
    """Each rating that there is, on one source drawn with this seed."""
    welds_s = Random(f"weld {seed}").uniform(*WELDED_S)
    for room in rooms:
        if room.rating_c is None:
            continue
        drawn = seeds.draw(setting.params, seed, spread=setting.spread)
        body, plant = _Body(room.place), Plant(drawn.params)
        plant.reset(25.0)
        rig = Rig(plant, drawn.sensor, drawn.mains, reads=setting.sensor, door_after_s=None)
        highest_c, welded = _plain(rig, setting.plan, body, welds_s)
        board_c = _welded(*welded, drawn.mains.level, room.rating_c + TOLERANCE_K)
        yield Tried(room.place, room.rating_c - TOLERANCE_K - highest_c, board_c)


def _plain(rig: Rig, plan: bytes, body: _Body, welds_s: float) -> tuple[float, tuple[Plant, _Body]]:
    controller = SimulatedController(rig, lambda line: None)
    assert (controller.arm(controller.put(plan)) or controller.start()) is None
    highest_c, time_s = body.c, 0.0
    then = copy.copy(rig.plant), copy.copy(body)
    while controller.machine.state in (ARMED, RUNNING):
        controller.tick()
        time_s += TICK_S
        highest_c = max(highest_c, body.follow(controller.temperatures))
        if time_s <= welds_s:
            then = copy.copy(rig.plant), copy.copy(body)
    return highest_c, then


def _welded(plant: Plant, body: _Body, mains: float, opens_c: float) -> float:
    """Full power from here until the cut-out opens, as late as its tolerance lets it."""
    highest_c, time_s, open_s = 0.0, 0.0, 0.0
    while time_s < WATCHED_S and open_s < COASTS_S:
        is_open = open_s > 0.0 or body.c >= opens_c
        temperatures = plant.step(TICK_S, 0.0 if is_open else 1.0, mains=mains)
        body.follow(temperatures)
        open_s += TICK_S * is_open
        time_s += TICK_S
        highest_c = max(highest_c, temperatures["board"])
    return highest_c
