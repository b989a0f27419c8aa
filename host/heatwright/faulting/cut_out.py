"""Where a thermal cut-out of its own in series helps, and at what rating: from the source's model.

It must never open in a plain run, and must open in time when both relays are welded. Both are
simulated at each place where one can be fitted; between the two lies its rating, or nothing.
"""

from __future__ import annotations

import copy
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from statistics import mean, stdev

from heatcontroller.states import ARMED, RUNNING
from heatsim import seeds
from heatsim.loop import TICK_S, Line, Rig, SimulatedController
from heatsim.mains import OFF_NOMINAL, Mains
from heatsim.params import PlantParams
from heatsim.plant import Plant
from heatsim.trials import LIMIT_C, Setting
from heatwright import sentences

# Bimetal discs and one-shot thermal links are sold to about so many kelvin of their rating.
TOLERANCE_K = 8.0
# Ratings are sold in such steps.
STEP_C = 5.0
# Of the room between plain runs and a weld so much is kept for runs unlike those simulated.
SPARE, SPARE_MAX_K = 1 / 3, 10.0
# A weld that has not got the board to the limit by then never does.
FOLLOWED_S = 900.0
LOOK_S = 2.0
COAST_S = 90.0
# Sources like this one, and the mains at both ends of what is normal.
DRAWS = 4
# So few show less than there is: beyond the worst of them, so many standard deviations count.
SPREAD_SD = 2.0
# Where a weld never brings the board to the limit, any rating is low enough.
NEVER_C = 1000.0
WEAK, STRONG = 1.0 - OFF_NOMINAL, 1.0 + OFF_NOMINAL
# Every so many seconds of a plain run its relays weld.
WELD_EVERY_S = 60.0


@dataclass(frozen=True)
class Place:
    """Where it is fixed: a node of the plant, and how slowly its body follows that."""

    name: str
    node: str
    lag_s: float


# Estimates for a disc of some grams: in air, screwed to metal, screwed to a scrap of board beside
# yours; and for a one-shot link of a gram under a wire loop on that scrap.
PLACES = (
    Place("air", "air", 20.0),
    Place("inner_wall", "liner", 8.0),
    Place("outer_wall", "shell", 8.0),
    Place("scrap_board", "board", 12.0),
    Place("link_on_scrap_board", "board", 4.0),
)


@dataclass(frozen=True)
class Room:
    """What a rating at this place must lie between, C; none where `lowest_c` is the higher one."""

    place: str
    lowest_c: float
    highest_c: float

    @property
    def rating_c(self) -> float | None:
        """The lowest rating on sale that leaves plain runs some of the room, or just any of it."""
        spare_k = min((self.highest_c - self.lowest_c) * SPARE, SPARE_MAX_K)
        on_sale = [
            -(-least_c // STEP_C) * STEP_C for least_c in (self.lowest_c + spare_k, self.lowest_c)
        ]
        return next((rating_c for rating_c in on_sale if rating_c <= self.highest_c), None)


class _Bodies:
    """One cut-out at each place, all at once: how warm each of them is."""

    def __init__(self, start_c: float) -> None:
        self.c = [start_c] * len(PLACES)

    def follow(self, temperatures: dict[str, float], dt_s: float) -> None:
        for index, place in enumerate(PLACES):
            gap_k = temperatures[place.node] - self.c[index]
            self.c[index] += gap_k * dt_s / (place.lag_s + dt_s)


def advice(settings: Sequence[Setting], found: Sequence[Room]) -> str:
    """In words: which rating, where; or that there is none, and what else there is."""
    source, structure = settings[0].source, settings[0].params.structure
    names = {**sentences.CUT_OUT_PLACES, **sentences.CUT_OUT_PLACES_OF.get(structure, {})}
    lines = [
        _line(names[room.place], room)
        for room in found
        if room.rating_c is not None and room.place in names
    ]
    head = sentences.CUT_OUT_HEAD if lines else sentences.CUT_OUT_NONE
    return "\n".join([head.format(source=source, places=", ".join(names.values())), *lines])


def _line(name: str, room: Room) -> str:
    return sentences.CUT_OUT_LINE.format(
        place=name, rating=room.rating_c, low=room.lowest_c, high=room.highest_c
    )


def rooms(settings: Sequence[Setting]) -> list[Room]:
    """The room for a rating at each place of one source, whichever of these plans it is run by."""
    found = [_rooms(setting) for setting in settings]
    return [
        Room(same[0].place, max(r.lowest_c for r in same), min(r.highest_c for r in same))
        for same in zip(*found, strict=True)
    ]


def _rooms(setting: Setting) -> list[Room]:
    found = [_extremes(setting, *source) for source in _sources(setting)]
    rooms = []
    for index, place in enumerate(PLACES):
        low = _beyond([plain[index] for plain, _ in found], 1)
        reached = [welded[index] for _, welded in found if welded[index] < NEVER_C]
        high = _beyond(reached, -1) if reached else NEVER_C
        rooms.append(Room(place.name, round(low + TOLERANCE_K, 1), round(high - TOLERANCE_K, 1)))
    return rooms


def _beyond(values: list[float], direction: int) -> float:
    """The worst of these (1: the highest, -1: the lowest), and what so few of them leave out."""
    sd = stdev(values) if len(values) > 1 else 0.0
    likely = mean(values) + direction * SPREAD_SD * sd
    return direction * max(direction * value for value in (*values, likely))


def _extremes(
    setting: Setting, params: PlantParams, mains: Mains
) -> tuple[list[float], list[float]]:
    """At each place: the highest of a plain run, and the lowest last chance of a weld in it, C."""
    plain = [-273.0] * len(PLACES)
    welded = [NEVER_C] * len(PLACES)
    for moment, (state, bodies) in enumerate(_plain_run(setting, params, mains)):
        plain = [max(pair) for pair in zip(plain, bodies.c, strict=True)]
        if moment % round(WELD_EVERY_S / LOOK_S) == 0:
            last = _last_chance(state, bodies, mains)
            welded = [min(pair) for pair in zip(welded, last, strict=True)]
    return plain, welded


def _sources(setting: Setting) -> Iterator[tuple[PlantParams, Mains]]:
    for level in (WEAK, 1.0, STRONG):
        yield setting.params, Mains(level=level)
    for number in range(1, DRAWS + 1):
        drawn = seeds.draw(setting.params, number, spread=setting.spread)
        yield drawn.params, drawn.mains


def _plain_run(
    setting: Setting, params: PlantParams, mains: Mains
) -> Iterator[tuple[Plant, _Bodies]]:
    """A plain run whose door nobody opens, every `LOOK_S`: plant and bodies as they are then."""
    plant = Plant(params)
    plant.reset(25.0)
    drawn = seeds.draw_surroundings(seeds.DEFAULT_SEED)[1]
    rig = Rig(plant, drawn, mains, reads=setting.sensor, door_after_s=None)
    controller = SimulatedController(rig, _nobody)
    controller.arm(controller.put(setting.plan))
    controller.start()
    bodies = _Bodies(rig.ambient_c)
    ticks = 0
    while controller.machine.state in (ARMED, RUNNING):
        controller.tick()
        bodies.follow(controller.temperatures, TICK_S)
        ticks += 1
        if ticks % round(LOOK_S / TICK_S) == 0:
            yield plant, bodies


def _nobody(line: Line) -> None:
    return


def _last_chance(plant: Plant, bodies: _Bodies, mains: Mains) -> list[float]:
    """How warm each body is at the last moment at which opening keeps the board below the limit.

    The board rises on by itself after the heat is off, so that moment comes before the limit.
    """
    plant, bodies = copy.copy(plant), copy.deepcopy(bodies)
    passed: list[tuple[Plant, list[float]]] = []
    while plant.temperatures()["board"] < LIMIT_C and len(passed) * LOOK_S < FOLLOWED_S:
        passed.append((copy.copy(plant), bodies.c.copy()))
        _on(plant, bodies, mains)
    if plant.temperatures()["board"] < LIMIT_C:
        return [NEVER_C] * len(PLACES)
    return _latest(passed)


def _on(plant: Plant, bodies: _Bodies, mains: Mains) -> None:
    for _ in range(round(LOOK_S / TICK_S)):
        bodies.follow(plant.step(TICK_S, 1.0, mains=mains.level), TICK_S)


def _latest(passed: Sequence[tuple[Plant, list[float]]]) -> list[float]:
    low, high = 0, len(passed) - 1
    while low < high:
        middle = (low + high + 1) // 2
        if _coasts_to(passed[middle][0]) < LIMIT_C:
            low = middle
        else:
            high = middle - 1
    return passed[low][1]


def _coasts_to(plant: Plant) -> float:
    plant = copy.copy(plant)
    highest_c = plant.temperatures()["board"]
    for _ in range(round(COAST_S)):
        board_c = plant.step(1.0, 0.0)["board"]
        if board_c < highest_c:
            break
        highest_c = board_c
    return highest_c
