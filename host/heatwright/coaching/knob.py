"""What a hand can do: the positions of the person's own knob, or the distances of a hot-air gun."""

from __future__ import annotations

from dataclasses import dataclass, replace

from heatsim.params import PlantParams
from heatwright import sentences
from heatwright.documents import Source
from heatwright.documents.source import STRUCTURE_OF

TOP_LEVEL = 9
THIRDS = ("low", "medium", "high")
# Nearer blows parts away; further off than this nothing melts.
DISTANCES_MM = (10, 20, 30, 40, 55, 70, 90, 115, 145, 200)
# Small circles never leave the board; the wide ones of the source file do now and then.
SMALL_CIRCLES = 1.0


@dataclass(frozen=True)
class Setting:
    """One position: what the source gets of it, how it is asked for, and how kept."""

    duty: float
    door: float
    text: str
    hold: str


OFF, LEAST = 0, 1


class Hand:
    """All positions from no heat to most, and what lifting the board comes to."""

    def __init__(self, source: Source) -> None:
        self.is_gun = is_gun(source)
        self.settings = settings_of(source)

    @property
    def first(self) -> int:
        """Where to begin: a gun comes from afar, a ring is slow enough to start at full."""
        return LEAST if self.is_gun else len(self.settings) - 1

    def effect(self, at: int, is_lifted: bool) -> Setting:
        """What the source gets of this position.

        A gun is pulled back, then blows without heat: taken away at once, the board cools faster
        than a paste wants.
        """
        if not is_lifted:
            return self.settings[at]
        if self.is_gun:
            far = self.settings[LEAST]
            return replace(far, duty=0.0) if at == OFF else far
        return replace(self.settings[at], door=1.0)


def is_gun(source: Source) -> bool:
    """Whether the hand moves the heat itself: there is no knob to turn, only a distance."""
    return STRUCTURE_OF[source.kind] == "jet"


def settings_of(source: Source) -> tuple[Setting, ...]:
    """All positions from no heat to most, in the words of the person's own knob."""
    if is_gun(source):
        return _distances(source.plant_params())
    off = Setting(0.0, 0.0, sentences.COACH_OFF, sentences.COACH_OFF_HOLD)
    return (off, *(_turned(*one) for one in _POSITIONS[source.knob](source)))


def _levels(_: Source) -> list[tuple[float, str]]:
    return [(at / TOP_LEVEL, str(at)) for at in range(1, TOP_LEVEL + 1)]


def _thirds(_: Source) -> list[tuple[float, str]]:
    return [(at / len(THIRDS), word) for at, word in enumerate(THIRDS, 1)]


def _degrees(source: Source) -> list[tuple[float, str]]:
    """A thermostat gives all its heat until it is reached: only its top and off are of use."""
    return [(1.0, f"{source.ratings.max_c:.0f} °C")]


_POSITIONS = {"levels": _levels, "low_medium_high": _thirds, "degrees": _degrees}


def _turned(duty: float, place: str) -> Setting:
    text, hold = sentences.COACH_KNOB, sentences.COACH_KNOB_HOLD
    return Setting(duty, 0.0, text.format(place=place), hold.format(place=place))


def nearest(params: PlantParams) -> PlantParams:
    """The source where the hand gives most: a gun as near as it may come, in small circles."""
    if params.structure != "jet":
        return params
    return replace(params, distance_mm=float(min(DISTANCES_MM)), dwell_share=SMALL_CIRCLES)


def _distances(params: PlantParams) -> tuple[Setting, ...]:
    """A gun keeps its heat; how far away it circles, and how widely, is the knob."""
    away = Setting(1.0, 1.0, sentences.COACH_GUN_AWAY, sentences.COACH_GUN_AWAY)
    rows = [_at_distance(params, at_mm) for at_mm in reversed(DISTANCES_MM)]
    near_mm = min(DISTANCES_MM)
    text, hold = sentences.COACH_GUN_NEAR, sentences.COACH_GUN_NEAR_HOLD
    near = Setting(1.0, 0.0, text.format(distance=near_mm), hold.format(distance=near_mm))
    return (away, *rows, near)


def _at_distance(params: PlantParams, at_mm: float) -> Setting:
    share = _share(replace(params, distance_mm=at_mm)) / _share(nearest(params))
    text, hold = sentences.COACH_GUN, sentences.COACH_GUN_HOLD
    away = max(1.0 - share, 0.0)
    return Setting(1.0, away, text.format(distance=at_mm), hold.format(distance=at_mm))


def _share(params: PlantParams) -> float:
    """How much of the air's heat reaches the board."""
    return params.dwell_share / (1.0 + params.distance_mm / params.dilution_mm)
