"""The profile: a board temperature over time in stages, not yet checked for any source."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, ClassVar, Literal, NamedTuple

from pydantic import Field

from heatwright import sentences
from heatwright.documents.base import Clash, Document, Table, number

StageName = Literal["preheat", "soak", "ramp_up", "reflow", "ramp_down"]
ORDER: tuple[StageName, ...] = ("preheat", "soak", "ramp_up", "reflow", "ramp_down")


class Knot(NamedTuple):
    """A corner of the curve: time since the start in s, board temperature in °C."""

    time_s: float
    board_c: float


class Stage(Table):
    """A straight line to a temperature, at a rate or in a time, then perhaps a hold."""

    name: StageName = Field(description="preheat, soak, ramp_up, reflow or ramp_down")
    to_c: float = Field(ge=20.0, le=300.0, description="board temperature at its end, °C")
    rate_c_per_s: float | None = Field(
        default=None, gt=0.0, le=10.0, description="how fast, always positive, °C/s"
    )
    time_s: float | None = Field(default=None, gt=0.0, le=1800.0, description="how long, s")
    hold_s: float = Field(default=0.0, ge=0.0, le=600.0, description="stay there this long, s")

    def ramp_s(self, from_c: float) -> float:
        """How long the straight line takes from this temperature, s."""
        if self.time_s is not None:
            return self.time_s
        return abs(self.to_c - from_c) / (self.rate_c_per_s or 1.0)


class Profile(Document):
    """A curve that a person asks for, in the words of the trade."""

    kind_of_document: ClassVar[str] = "profile"

    name: str = Field(min_length=1, description="what you call it")
    paste: str | None = Field(default=None, description="the paste it is made for")
    start_c: float = Field(default=25.0, ge=0.0, le=80.0, description="board at the start, °C")
    notes: str = Field(default="", description="anything else worth remembering")
    stages: list[Stage] = Field(min_length=1, description="the stages, in order")

    @property
    def peak_c(self) -> float:
        """The highest temperature asked for, °C."""
        return max(stage.to_c for stage in self.stages)

    @property
    def knots(self) -> list[Knot]:
        """The corners of the curve from its start to its end; times rise strictly."""
        corners = [Knot(0.0, self.start_c)]
        for stage in self.stages:
            at_s = corners[-1].time_s + stage.ramp_s(corners[-1].board_c)
            corners.append(Knot(at_s, stage.to_c))
            if stage.hold_s:
                corners.append(Knot(at_s + stage.hold_s, stage.to_c))
        # a stage that is already at its temperature takes no time and has no corner
        return list({corner.time_s: corner for corner in corners}.values())

    @property
    def starts(self) -> list[tuple[float, StageName]]:
        """When each stage begins, s since the start."""
        begins, at_s, board_c = [], 0.0, self.start_c
        for stage in self.stages:
            begins.append((at_s, stage.name))
            at_s += stage.ramp_s(board_c) + stage.hold_s
            board_c = stage.to_c
        return begins

    @property
    def duration_s(self) -> float:
        return self.knots[-1].time_s

    @classmethod
    def clashes(cls, data: Mapping[str, Any]) -> Iterator[Clash]:
        yield from super().clashes(data)
        stages = data.get("stages")
        tables = [(i, s) for i, s in enumerate(stages or ()) if isinstance(s, Mapping)]
        yield from _order_clashes(tables)
        yield from _speed_clashes(tables)
        yield from _direction_clashes(number(data, "start_c") or 25.0, tables)


Tables = list[tuple[int, Mapping[str, Any]]]


def _order_clashes(tables: Tables) -> Iterator[Clash]:
    place = -1
    for index, table in tables:
        name = table.get("name")
        if name not in ORDER:
            continue
        if ORDER.index(name) <= place:
            what = sentences.STAGE_ORDER.format(name=name, after=ORDER[place])
            order = ", ".join(ORDER)
            yield Clash(("stages", index, "name"), what, name, order, sentences.STAGE_ORDER_CURE)
        place = max(place, ORDER.index(name))


def _speed_clashes(tables: Tables) -> Iterator[Clash]:
    for index, table in tables:
        given = [key for key in ("rate_c_per_s", "time_s") if key in table]
        if len(given) != 1:
            found = " and ".join(given) or "neither"
            at = ("stages", index, given[-1] if given else "rate_c_per_s")
            cure = sentences.ONE_OF_TWO if given else sentences.RATE_OR_TIME_CURE
            yield Clash(at, sentences.RATE_OR_TIME, found, "rate_c_per_s or time_s", cure)


def _direction_clashes(before_c: float, tables: Tables) -> Iterator[Clash]:
    for index, table in tables:
        to_c, name = number(table, "to_c"), table.get("name")
        if to_c is None:
            continue
        falls = name == "ramp_down"
        if name in ORDER and (to_c >= before_c if falls else to_c < before_c):
            what = (sentences.DOWN_RISES if falls else sentences.UP_FALLS).format(name=name)
            expected = f"{'below' if falls else 'at least'} {before_c:g}"
            yield Clash(
                ("stages", index, "to_c"), what, f"{to_c:g}", expected, sentences.DIRECTION_CURE
            )
        before_c = to_c
