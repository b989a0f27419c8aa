"""Stencil, powder and centre pad: whether the paste gets where it should, and no more of it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator

from heatwright import sentences
from heatwright.documents.bench import Bench, Fitted
from heatwright.documents.checks.finding import Finding
from heatwright.documents.part import Aperture
from heatwright.documents.paste import Paste

# IPC-7525, from memory, not confirmed
AREA_RATIO_MIN = 0.66
ASPECT_RATIO_MIN = 1.5
# largest grain of each powder type, µm (types 3 to 5 common practice, the others from memory)
LARGEST_GRAIN_UM = {1: 150.0, 2: 75.0, 3: 45.0, 4: 38.0, 5: 25.0, 6: 15.0, 7: 11.0, 8: 8.0}
# the narrowest opening lets five of the largest grains pass side by side (common practice)
GRAINS_ACROSS = 5
# share of a centre pad to print, %, in windows (common practice)
COVER_LOW_PERCENT, COVER_HIGH_PERCENT = 50.0, 80.0
COVER = {"low": COVER_LOW_PERCENT, "high": COVER_HIGH_PERCENT}
LEADLESS = ("qfn", "dfn", "son", "leadless")


def area_ratio(length_mm: float, width_mm: float, thickness_mm: float) -> float:
    """Open area over wall area of a stencil's opening: L W / (2 (L + W) T)."""
    return length_mm * width_mm / (2.0 * (length_mm + width_mm) * thickness_mm)


def aspect_ratio(width_mm: float, thickness_mm: float) -> float:
    """Width of an opening over the stencil's thickness: W / T."""
    return width_mm / thickness_mm


def findings(bench: Bench, now: dt.datetime) -> Iterator[Finding]:
    """What can be told of the print; without a board's printing a stencil is not assumed."""
    if bench.paste.expires_on and bench.paste.expires_on < now.date():
        text = sentences.PASTE_EXPIRED.format(paste=bench.paste.name, on=bench.paste.expires_on)
        yield Finding("warn", "paste_expired", text)
    method = bench.board.printing if bench.board else None
    for fitted in bench.fitted:
        if method and method.method == "syringe":
            yield from _syringe(fitted)
        else:
            yield from _stencil(fitted, bench.paste, method.thickness_mm if method else None)


def _syringe(fitted: Fitted) -> Iterator[Finding]:
    if is_leadless(fitted):
        yield Finding("note", "syringe", sentences.SYRINGE.format(name=fitted.name))


def is_leadless(fitted: Fitted) -> bool:
    """Whether the package has no leads but a centre pad, by its name."""
    return any(sign in fitted.part.package.casefold() for sign in LEADLESS)


def _stencil(fitted: Fitted, paste: Paste, thickness_mm: float | None) -> Iterator[Finding]:
    aperture = fitted.part.aperture
    if aperture and thickness_mm:
        yield from _ratios(fitted.name, aperture, thickness_mm)
    if aperture:
        yield from _grains(fitted.name, aperture.smallest_width_mm, paste.powder_type)
    if is_leadless(fitted) or (aperture and aperture.centre_pad_cover_percent is not None):
        yield from _centre_pad(fitted.name, aperture)


def _ratios(name: str, aperture: Aperture, thickness_mm: float) -> Iterator[Finding]:
    length_mm, width_mm = aperture.smallest_length_mm, aperture.smallest_width_mm
    area = area_ratio(length_mm, width_mm, thickness_mm)
    aspect = aspect_ratio(width_mm, thickness_mm)
    for code, found, limit, sentence in (
        ("area_ratio", area, AREA_RATIO_MIN, sentences.AREA_RATIO),
        ("aspect_ratio", aspect, ASPECT_RATIO_MIN, sentences.ASPECT_RATIO),
    ):
        if not found >= limit:
            # both ratios go with one over the thickness; rounded down, so that it does suffice
            thinner_mm = int(thickness_mm * found / limit * 100) / 100
            cure = sentences.STENCIL_THINNER.format(thickness=thinner_mm)
            text = sentence.format(name=name, found=found, limit=limit, cure=cure)
            yield Finding("warn", code, text)


def width_for(powder_type: int) -> float:
    """The narrowest opening for a powder type, mm."""
    return GRAINS_ACROSS * LARGEST_GRAIN_UM[powder_type] / 1000.0


def coarsest_for(width_mm: float) -> int | None:
    """The coarsest powder type of the usual ones (3 to 6) that this opening lets through."""
    return next((kind for kind in range(3, 7) if width_for(kind) <= width_mm), None)


def _grains(name: str, width_mm: float, powder_type: int | None) -> Iterator[Finding]:
    coarsest = coarsest_for(width_mm)
    if powder_type is None:
        # type 3 is the coarsest in use for such boards: an opening for it takes any paste
        if coarsest != 3:
            powder = coarsest or sentences.BEYOND_6
            text = sentences.POWDER_UNKNOWN.format(name=name, width=width_mm, powder=powder)
            yield Finding("note", "powder_unknown", text)
    elif not width_for(powder_type) <= width_mm:
        finer = (
            sentences.FINER_POWDER.format(powder=coarsest) if coarsest else sentences.WIDER_OPENING
        )
        text = sentences.GRAINS.format(
            name=name, width=width_mm, powder=powder_type, need=width_for(powder_type), finer=finer
        )
        yield Finding("warn", "powder_coarse", text)


def _centre_pad(name: str, aperture: Aperture | None) -> Iterator[Finding]:
    found = aperture.centre_pad_cover_percent if aperture else None
    if found is None:
        yield Finding(
            "note", "centre_pad_unknown", sentences.COVER_UNKNOWN.format(name=name, **COVER)
        )
        return
    if not COVER_LOW_PERCENT <= found <= COVER_HIGH_PERCENT:
        high = found > COVER_HIGH_PERCENT
        sentence = sentences.COVER_HIGH if high else sentences.COVER_LOW
        yield Finding("warn", "centre_pad_cover", sentence.format(name=name, found=found, **COVER))
    if aperture and aperture.centre_pad_windows == 1:
        yield Finding("warn", "centre_pad_windows", sentences.ONE_WINDOW.format(name=name))
