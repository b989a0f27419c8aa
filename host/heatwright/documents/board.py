"""The board: its size, its layers and finish, how paste gets on it, and which side carries what."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, ClassVar, Literal

from pydantic import Field

from heatwright import sentences
from heatwright.documents import alloys
from heatwright.documents.base import Clash, Document, Table, number

Finish = Literal["hasl_lead", "hasl_lead_free", "enig", "osp", "unknown"]


class Printing(Table):
    """How the paste gets on the pads."""

    method: Literal["stencil", "syringe"] = Field(description="stencil or syringe")
    thickness_mm: float | None = Field(
        default=None, ge=0.03, le=0.5, description="thickness of the stencil, mm"
    )


class Placement(Table):
    """Parts of one kind on one side."""

    part: str = Field(min_length=1, description="a shipped part, or a part file")
    side: Literal["top", "bottom"] = Field(default="top", description="side that carries it")
    refs: list[str] = Field(default_factory=list, description="its names on the board, as U1")


class Board(Document):
    """A printed circuit board with its parts."""

    kind_of_document: ClassVar[str] = "board"

    name: str = Field(min_length=1, description="what you call it")
    length_mm: float = Field(gt=0.0, le=600.0, description="longer side, mm")
    width_mm: float = Field(gt=0.0, le=600.0, description="shorter side, mm")
    thickness_mm: float = Field(ge=0.1, le=6.4, description="thickness, mm; usually 1.6")
    layers: int = Field(default=2, ge=1, le=32, description="copper layers")
    copper_um: float = Field(
        default=35.0, ge=5.0, le=210.0, description="thickness of each copper layer, µm"
    )
    copper_percent: float = Field(
        default=50.0, ge=0.0, le=100.0, description="share of each layer that is copper, %"
    )
    finish: Finish = Field(default="unknown", description="what the pads are coated with")
    passes_done: int = Field(default=0, ge=0, le=10, description="reflow passes already seen")
    touch_up_alloy: str | None = Field(default=None, description="wire used to touch up, as SAC305")
    accept_low_melting: bool = Field(
        default=False, description="lead may meet a bismuth paste: melts at 95-98 °C"
    )
    notes: str = Field(default="", description="anything else worth remembering")
    printing: Printing | None = Field(default=None, description="how the paste gets on the pads")
    placements: list[Placement] = Field(default_factory=list, description="which side carries what")

    @property
    def copper_mm(self) -> float:
        """All copper spread evenly over the board, mm thick."""
        return self.layers * self.copper_um * 1e-3 * self.copper_percent / 100.0

    @property
    def has_lead_finish(self) -> bool:
        return self.finish == "hasl_lead"

    @classmethod
    def clashes(cls, data: Mapping[str, Any]) -> Iterator[Clash]:
        yield from super().clashes(data)
        yield from _side_clashes(data)
        yield from _printing_clashes(data.get("printing"))
        yield from _touch_up_clashes(data.get("touch_up_alloy"))
        yield from _ref_clashes(data.get("placements"))


def _side_clashes(data: Mapping[str, Any]) -> Iterator[Clash]:
    length, width = number(data, "length_mm"), number(data, "width_mm")
    if length is not None and width is not None and width > length:
        yield Clash(
            ("width_mm",),
            sentences.WIDTH_ABOVE_LENGTH,
            f"{width:g}",
            f"at most {length:g} (length_mm)",
            sentences.SWAP_THEM,
        )


def _printing_clashes(printing: Any) -> Iterator[Clash]:
    if not isinstance(printing, Mapping):
        return
    if printing.get("method") == "stencil" and "thickness_mm" not in printing:
        yield Clash(
            ("printing", "thickness_mm"),
            sentences.STENCIL_THICKNESS,
            "",
            "0.03 to 0.5",
            sentences.STENCIL_CURE,
        )


def _touch_up_clashes(name: Any) -> Iterator[Clash]:
    if isinstance(name, str) and not alloys.shares(name):
        near = alloys.nearest(name)
        cure = sentences.DID_YOU_MEAN.format(name=near) if near else sentences.ALLOY_CURE
        yield Clash(
            ("touch_up_alloy",), sentences.NOT_AN_ALLOY, f'"{name}"', sentences.ALLOY_FORM, cure
        )


def _ref_clashes(placements: Any) -> Iterator[Clash]:
    seen: set[str] = set()
    for index, entry in enumerate(placements if isinstance(placements, list) else ()):
        refs = entry.get("refs") if isinstance(entry, Mapping) else None
        for ref in refs if isinstance(refs, list) else ():
            if ref in seen:
                path = ("placements", index, "refs")
                expected, cure = sentences.REF_ONCE, sentences.REF_CURE
                yield Clash(path, sentences.REF_TWICE, f'"{ref}"', expected, cure)
            seen |= {ref} if isinstance(ref, str) else set()
