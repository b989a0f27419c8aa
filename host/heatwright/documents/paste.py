"""The paste: an alloy, the temperatures it melts at, and the windows of its data sheet."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping
from typing import Annotated, Any, ClassVar

from pydantic import Field

from heatwright import sentences
from heatwright.documents import alloys, unit_guess
from heatwright.documents.alloys import TOLERANCE_K
from heatwright.documents.base import (
    Between,
    Clash,
    Document,
    Table,
    Window,
    number,
    pair,
)

# from below the lowest-melting bismuth alloys to above the high-lead ones
Melting = Annotated[float, Field(ge=60.0, le=330.0)]
Seconds = Annotated[Window, Between(0.0, 900.0)]
Rate = Annotated[Window, Between(0.0, 10.0)]


class PasteWindow(Table):
    """What the joint needs, board temperatures; each ``[low, high]``."""

    soak_c: Annotated[Window, Between(50.0, 230.0)] = Field(
        description="soak: board temperature at its start and end, °C"
    )
    soak_s: Seconds = Field(description="soak: time between the two soak temperatures, s")
    above_liquidus_s: Seconds = Field(description="time above the melting temperature, s")
    peak_c: Annotated[Window, Between(100.0, 300.0)] = Field(
        description="highest board temperature, °C"
    )
    up_c_per_s: Rate = Field(description="heating rate, °C/s")
    down_c_per_s: Rate = Field(description="cooling rate, as a positive number, °C/s")
    down_limit_c_per_s: float | None = Field(
        default=None, gt=0.0, le=20.0, description="cooling never faster than this, °C/s"
    )
    to_peak_s: Seconds | None = Field(default=None, description="time from 25 °C to peak, s")
    above_c: Melting | None = Field(
        default=None,
        description="time above liquidus counts from here, °C, where the sheet names another",
    )


class Paste(Document):
    """A solder paste; the data sheet of the paste in hand always wins over a default."""

    kind_of_document: ClassVar[str] = "paste"

    name: str = Field(min_length=1, description="what you call it")
    alloy: str = Field(min_length=2, description="designation such as SAC305 or Sn63Pb37")
    solidus_c: Melting = Field(description="begins to melt, °C")
    liquidus_c: Melting = Field(description="wholly molten, °C")
    powder_type: int | None = Field(default=None, ge=1, le=8, description="powder type, 1 to 8")
    storage_c: Annotated[Window, Between(-40.0, 40.0)] | None = Field(
        default=None, description="storage temperature on the label, °C"
    )
    expires_on: dt.date | None = Field(default=None, description="use before, as on the label")
    opened_on: dt.date | None = Field(default=None, description="the day it was first opened")
    notes: str = Field(default="", description="anything else worth remembering")
    window: PasteWindow = Field(description="the windows of the data sheet")

    @property
    def above_c(self) -> float:
        """The temperature above which time above liquidus counts, °C."""
        return self.liquidus_c if self.window.above_c is None else self.window.above_c

    @property
    def contains_lead(self) -> bool:
        return "Pb" in alloys.shares(self.alloy)

    @property
    def contains_bismuth(self) -> bool:
        return "Bi" in alloys.shares(self.alloy)

    @classmethod
    def clashes(cls, data: Mapping[str, Any]) -> Iterator[Clash]:
        yield from super().clashes(data)
        yield from window_clashes(data.get("window"), ("window",))
        yield from _melting_clashes(data)
        yield from _alloy_clashes(data)


def window_clashes(table: Any, path: tuple[str, ...]) -> Iterator[Clash]:
    """A clash for each window of this table whose low end lies above its high end."""
    for key in table if isinstance(table, Mapping) else ():
        window = pair(table, key)
        if window and window.low > window.high:
            yield Clash(
                (*path, key),
                sentences.LOW_ABOVE_HIGH,
                f"[{window.low:g}, {window.high:g}]",
                "[low, high]",
                sentences.SWAP_TO.format(low=window.high, high=window.low),
            )


def _melting_clashes(data: Mapping[str, Any]) -> Iterator[Clash]:
    solidus, liquidus = number(data, "solidus_c"), number(data, "liquidus_c")
    soak, peak = pair(data, "window", "soak_c"), pair(data, "window", "peak_c")
    if solidus is not None and liquidus is not None and solidus > liquidus:
        expected = f"at most {liquidus:g} (liquidus_c)"
        yield _clash("solidus_c", sentences.SOLIDUS_HIGH, solidus, expected)
    if liquidus is not None and peak and not peak.low > liquidus:
        expected = f"above {liquidus:g} (liquidus_c)"
        yield _clash("window.peak_c", sentences.PEAK_LOW, peak.low, expected)
    if liquidus is not None and soak and not soak.high < liquidus:
        expected = f"below {liquidus:g} (liquidus_c)"
        yield _clash("window.soak_c", sentences.SOAK_HIGH, soak.high, expected)


def _alloy_clashes(data: Mapping[str, Any]) -> Iterator[Clash]:
    name = data.get("alloy")
    if not isinstance(name, str):
        return
    alloy = alloys.known(name)
    if alloy is None and not alloys.shares(name):
        near = alloys.nearest(name)
        cure = sentences.DID_YOU_MEAN.format(name=near) if near else sentences.ALLOY_CURE
        yield Clash(("alloy",), sentences.NOT_AN_ALLOY, f'"{name}"', sentences.ALLOY_FORM, cure)
    for key in ("solidus_c", "liquidus_c") if alloy else ():
        found, right = number(data, key), getattr(alloy, key)
        if found is not None and not abs(found - right) <= TOLERANCE_K:
            cure = unit_guess.guess(key, [found], right - TOLERANCE_K, right + TOLERANCE_K)
            what = sentences.MELTS_ELSEWHERE.format(alloy=name)
            yield _clash(key, what, found, f"{right:g}", cure)


def _clash(key: str, what: str, found: float, expected: str, cure: str = "") -> Clash:
    cure = cure or sentences.CHECK_SHEET
    return Clash(tuple(key.split(".")), what, f"{found:g}", expected, cure)
