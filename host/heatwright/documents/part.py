"""A part: its package, what its sheet allows, and what makes it worth watching."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping
from typing import Annotated, Any, ClassVar, Literal

from pydantic import BeforeValidator, Field

from heatwright import sentences
from heatwright.documents import jstd020
from heatwright.documents.base import Clash, Document, Table, number
from heatwright.documents.jstd020 import MoistureLevel, PartLimits, Process


def _midnight(value: Any) -> Any:
    """A bare date stands for its first minute: the earliest, so that floor life is not overrun."""
    is_date = isinstance(value, dt.date) and not isinstance(value, dt.datetime)
    return dt.datetime.combine(value, dt.time()) if is_date else value


Moment = Annotated[dt.datetime, BeforeValidator(_midnight)]
Fragile = Literal["plastic", "electrolytic", "vented_microphone", "other"]


class Sheet(Table):
    """What the part's own data sheet says; it wins over the classification table."""

    peak_c: float | None = Field(
        default=None, ge=150.0, le=320.0, description="highest temperature at the package, °C"
    )
    near_peak_s: float | None = Field(
        default=None, gt=0.0, le=120.0, description="longest time within 5 °C of that, s"
    )
    up_limit_c_per_s: float | None = Field(
        default=None, gt=0.0, le=20.0, description="heating never faster than this, °C/s"
    )
    down_limit_c_per_s: float | None = Field(
        default=None, gt=0.0, le=20.0, description="cooling never faster than this, °C/s"
    )
    to_peak_s: float | None = Field(
        default=None, ge=30.0, le=1200.0, description="longest time from 25 °C to peak, s"
    )


class Aperture(Table):
    """The stencil openings for this part."""

    smallest_width_mm: float = Field(gt=0.0, le=20.0, description="narrowest opening, width, mm")
    smallest_length_mm: float = Field(gt=0.0, le=50.0, description="its length, mm")
    centre_pad_cover_percent: float | None = Field(
        default=None, ge=0.0, le=100.0, description="share of the centre pad that is printed, %"
    )
    centre_pad_windows: int | None = Field(
        default=None, ge=1, le=100, description="number of openings over the centre pad"
    )


class Part(Document):
    """One kind of part on the board."""

    kind_of_document: ClassVar[str] = "part"

    name: str = Field(min_length=1, description="what you call it")
    package: str = Field(min_length=1, description="package on its sheet, such as QFN-24")
    thickness_mm: float = Field(gt=0.0, le=60.0, description="height of the body, mm")
    length_mm: float | None = Field(default=None, gt=0.0, le=200.0, description="body length, mm")
    width_mm: float | None = Field(default=None, gt=0.0, le=200.0, description="body width, mm")
    volume_mm3: float | None = Field(
        default=None, gt=0.0, le=100_000.0, description="body volume, mm³, if not a plain block"
    )
    process: Process = Field(default="lead_free", description="which table classifies the package")
    moisture_level: MoistureLevel | None = Field(
        default=None, description="moisture sensitivity level on the bag's label"
    )
    floor_life_h: float | None = Field(
        default=None, gt=0.0, le=20_000.0, description="time out of the bag, on its label, hours"
    )
    bag_opened_at: Moment | None = Field(default=None, description="when the dry bag was opened")
    passes_max: int = Field(default=3, ge=1, le=10, description="most reflow passes it may see")
    fragile: list[Fragile] = Field(default_factory=list, description="what heat spoils first")
    contains_lead: bool = Field(default=False, description="leads or balls finished with lead")
    mass_mg: float | None = Field(default=None, gt=0.0, le=500_000.0, description="mass, mg")
    pad_area_mm2: float | None = Field(
        default=None, gt=0.0, le=20_000.0, description="all its solder pads together, mm²"
    )
    notes: str = Field(default="", description="anything else worth remembering")
    sheet: Sheet = Field(default_factory=Sheet, description="limits on its own data sheet")
    aperture: Aperture | None = Field(default=None, description="its stencil openings")

    @property
    def body_mm3(self) -> float:
        """The volume that the classification table asks for, mm³."""
        if self.volume_mm3 is not None:
            return self.volume_mm3
        return self.thickness_mm * (self.length_mm or 0.0) * (self.width_mm or 0.0)

    @property
    def life_out_of_bag_h(self) -> float | None:
        """Hours it may lie out of its bag; None where no level is known."""
        if self.floor_life_h is not None:
            return self.floor_life_h
        return jstd020.FLOOR_LIFE_H[self.moisture_level] if self.moisture_level else None

    @property
    def limits(self) -> PartLimits:
        """The sheet's limits, and J-STD-020 rev D's where the sheet is silent."""
        table = jstd020.CLASSIFICATION[self.process]
        sheet = self.sheet
        own = sheet.peak_c is not None
        return PartLimits(
            sheet.peak_c or self.classification_c,
            sheet.near_peak_s or table.near_peak_s,
            sheet.up_limit_c_per_s or table.ramp_up_max_c_per_s,
            sheet.down_limit_c_per_s or table.ramp_down_max_c_per_s,
            sheet.to_peak_s or table.to_peak_max_s,
            self.origin_of("peak_c").source if own else jstd020.SOURCE_OF[self.process],
        )

    @property
    def classification_c(self) -> float:
        """Tc of J-STD-020 revision D for this body, °C."""
        return jstd020.classification_c(self.process, self.thickness_mm, self.body_mm3)

    @property
    def load_mg_per_mm2(self) -> float | None:
        """Mass over pad area; None where either is not known."""
        if self.mass_mg is None or self.pad_area_mm2 is None:
            return None
        return self.mass_mg / self.pad_area_mm2

    @classmethod
    def clashes(cls, data: Mapping[str, Any]) -> Iterator[Clash]:
        yield from super().clashes(data)
        yield from _volume_clashes(data)
        yield from _aperture_clashes(data)


def _volume_clashes(data: Mapping[str, Any]) -> Iterator[Clash]:
    sides = [number(data, key) for key in ("length_mm", "width_mm", "thickness_mm")]
    volume = number(data, "volume_mm3")
    if volume is None and None in sides[:2] and not {"length_mm", "width_mm"} <= data.keys():
        yield Clash(
            ("volume_mm3",),
            sentences.NO_VOLUME,
            "",
            sentences.NO_VOLUME_EXPECTED,
            sentences.NO_VOLUME_CURE,
        )
    length, width, thickness = sides
    if volume and length and width and thickness:
        block = length * width * thickness
        # 5 % for rounding on the sheet
        if not volume <= 1.05 * block:
            yield Clash(
                ("volume_mm3",),
                sentences.VOLUME_LARGE,
                f"{volume:g}",
                f"at most {block:g} (length x width x thickness)",
                sentences.CHECK_SHEET,
            )


def _aperture_clashes(data: Mapping[str, Any]) -> Iterator[Clash]:
    width = number(data, "aperture", "smallest_width_mm")
    length = number(data, "aperture", "smallest_length_mm")
    if width is not None and length is not None and width > length:
        yield Clash(
            ("aperture", "smallest_width_mm"),
            sentences.WIDTH_ABOVE_LENGTH,
            f"{width:g}",
            f"at most {length:g} (smallest_length_mm)",
            sentences.SWAP_THEM,
        )
