"""What a hand can do: the positions of the person's own knob, or the distances of a hot-air gun."""

from __future__ import annotations

from dataclasses import dataclass, replace

from heatwright import sentences
from heatwright.coaching import gun
from heatwright.documents import Paste, Source

TOP_LEVEL = 9
THIRDS = ("low", "medium", "high")


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

    def __init__(self, source: Source, paste: Paste) -> None:
        self.is_gun = gun.is_gun(source)
        self.settings = settings_of(source, paste)
        self._over_file = gun.over_file(source.plant_params()) if self.is_gun else 1.0

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

    def duty(self, setting: Setting, is_lifted: bool) -> float:
        """The duty that gives a board as much on the source as its file has it, 0..1.

        What a gun far away gives less of is as good as less power.
        """
        if is_lifted:
            return setting.duty
        return min(setting.duty * (1.0 - setting.door) * self._over_file, 1.0)


def settings_of(source: Source, paste: Paste) -> tuple[Setting, ...]:
    """All positions from no heat to most, in the words of the person's own knob."""
    if gun.is_gun(source):
        return _distances(source, gun.duty(source, paste))
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


def _distances(source: Source, duty: float) -> tuple[Setting, ...]:
    """A gun keeps its heat; how far away it circles, and how widely, is the knob."""
    away = Setting(duty, 1.0, sentences.COACH_GUN_AWAY, sentences.COACH_GUN_AWAY)
    wide = sentences.COACH_GUN, sentences.COACH_GUN_HOLD
    small = sentences.COACH_GUN_NEAR, sentences.COACH_GUN_NEAR_HOLD
    rows = [
        Setting(duty, less, *(text.format(distance=at_mm) for text in (small if near else wide)))
        for at_mm, near, less in gun.places(source.plant_params())
    ]
    return (away, *rows)
