"""A hot-air gun in a hand: its air's temperature is set beforehand, its distance is the knob."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import NamedTuple

from heatsim.compiled import engine
from heatsim.params import PlantParams
from heatsim.plant import Plant
from heatwright.documents import Paste, Source
from heatwright.documents.source import STRUCTURE_OF

# Nearer blows parts away; further off than this nothing melts.
DISTANCES_MM = (10, 20, 30, 40, 55, 70, 90, 115, 145, 200)
# Small circles never leave the board; the wide ones of the source file do now and then.
SMALL_CIRCLES = 1.0
ROOM_C = 25.0
# Air above the room over the peak wanted above the room. It gives the upper ends of what is common
# practice, 350 °C for leaded and 400 °C for lead-free paste, and for pastes that melt lower what
# nobody wrote down.
AIR_OVER_PEAK = 1.72
WARM_S = 300


class Place(NamedTuple):
    """Where a gun circles, how widely, and the share of its heat that is lost on the way, 0..1."""

    distance_mm: int
    small_circles: bool
    lost: float


def is_gun(source: Source) -> bool:
    """Whether the hand moves the heat itself: there is no knob to turn, only a distance."""
    return STRUCTURE_OF[source.kind] == "jet"


def nearest(params: PlantParams) -> PlantParams:
    """The source where the hand gives most: a gun as near as it may come, in small circles."""
    if params.structure != "jet":
        return params
    return replace(params, distance_mm=float(min(DISTANCES_MM)), dwell_share=SMALL_CIRCLES)


def places(params: PlantParams) -> Iterator[Place]:
    """From afar to nearest; losses are against the nearest."""
    most = _share(nearest(params))
    for at_mm in reversed(DISTANCES_MM):
        yield Place(at_mm, False, 1.0 - _share(replace(params, distance_mm=at_mm)) / most)
    yield Place(min(DISTANCES_MM), True, 0.0)


def over_file(params: PlantParams) -> float:
    """How much more heat the nearest place gives than the place that the source's file has."""
    return _share(nearest(params)) / _share(params)


def air_c(paste: Paste) -> float:
    """What to set the gun's air to, in tens of degrees as guns have it."""
    peak_c = sum(paste.window.peak_c) / 2.0
    return round(ROOM_C + AIR_OVER_PEAK * (peak_c - ROOM_C), -1)


def duty(source: Source, paste: Paste) -> float:
    """The share of its power with which the gun's air is as hot as that, 0..1."""
    plant = Plant(source.plant_params(), engine())
    plant.reset(ROOM_C)
    full_c = plant.step(WARM_S, 1.0, 0.0, 1.0)["air"]
    return min((air_c(paste) - ROOM_C) / (full_c - ROOM_C), 1.0)


def _share(params: PlantParams) -> float:
    """How much of the air's heat reaches the board."""
    return params.dwell_share / (1.0 + params.distance_mm / params.dilution_mm)
