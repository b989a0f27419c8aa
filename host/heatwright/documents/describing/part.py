"""A part, in the words of its data sheet; body and limits by its package where that is silent."""

from __future__ import annotations

from typing import Any

from heatwright import sentences
from heatwright.documents.describing.building import document, nested, origins
from heatwright.documents.describing.interview import Answers
from heatwright.documents.describing.outlines import Outline, outline
from heatwright.documents.describing.questions import Default, Values, fixed, of
from heatwright.documents.jstd020 import FLOOR_LIFE_H
from heatwright.documents.part import Part


def _by_package(key: str) -> Default:
    def default(values: Values) -> Any:
        found = outline(values["package"])
        value = getattr(found, key) if found else None
        return list(value) if isinstance(value, tuple) else value

    return default


def _package_name(values: Values) -> Any:
    return values["package"]


def _is_moist(values: Values) -> bool:
    return FLOOR_LIFE_H.get(values.get("moisture_level", "1"), 0.0) < float("inf")


def _has_centre_pad(values: Values) -> bool:
    text = values["package"].casefold()
    return any(sign in text for sign in ("qfn", "dfn", "son", "leadless"))


def _has_aperture(values: Values) -> bool:
    return values.get("aperture.smallest_width_mm") is not None


def _has_pads(values: Values) -> bool:
    return values.get("mass_mg") is not None


QUESTIONS = (
    of(Part, "package", sentences.ASK_PACKAGE, needed=True),
    of(Part, "name", sentences.ASK_PART_NAME, _package_name),
    of(Part, "thickness_mm", sentences.ASK_THICK, _by_package("thickness_mm"), needed=True),
    of(Part, "length_mm", sentences.ASK_LONG, _by_package("length_mm"), needed=True),
    of(Part, "width_mm", sentences.ASK_WIDE, _by_package("width_mm"), needed=True),
    of(Part, "sheet.peak_c", sentences.ASK_PART_PEAK),
    of(Part, "sheet.near_peak_s", sentences.ASK_NEAR_PEAK),
    of(Part, "moisture_level", sentences.ASK_MOISTURE, _by_package("moisture_level")),
    of(Part, "floor_life_h", sentences.ASK_FLOOR_LIFE, asked_when=_is_moist),
    of(Part, "bag_opened_at", sentences.ASK_BAG, asked_when=_is_moist),
    of(Part, "fragile", sentences.ASK_FRAGILE, _by_package("fragile")),
    of(Part, "contains_lead", sentences.ASK_LEAD, fixed(False)),
    of(Part, "passes_max", sentences.ASK_PASSES, fixed(3)),
    of(Part, "mass_mg", sentences.ASK_MASS),
    of(Part, "pad_area_mm2", sentences.ASK_PADS, asked_when=_has_pads),
    of(Part, "aperture.smallest_width_mm", sentences.ASK_APERTURE_WIDTH),
    of(
        Part,
        "aperture.smallest_length_mm",
        sentences.ASK_APERTURE_LENGTH,
        needed=True,
        asked_when=_has_aperture,
    ),
    of(
        Part,
        "aperture.centre_pad_cover_percent",
        sentences.ASK_COVER,
        asked_when=lambda values: _has_aperture(values) and _has_centre_pad(values),
    ),
    of(
        Part,
        "aperture.centre_pad_windows",
        sentences.ASK_PAD_WINDOWS,
        asked_when=lambda values: _has_aperture(values) and _has_centre_pad(values),
    ),
)


def build(answers: Answers, name: str) -> Part:
    """The part of these answers. Raises `BadInput`."""
    values = answers.values
    source = sentences.DEFAULT_OF_PACKAGE.format(package=values["package"])
    assumed = {key: source for key in answers.assumed if key != "passes_max"}
    if "passes_max" in answers.assumed:
        assumed["passes_max"] = sentences.DEFAULT_OF_TRADE
    data = nested(values) | {"origin": origins(assumed, values) | _moisture(answers)}
    return document(Part, data, name)


def _moisture(answers: Answers) -> dict[str, dict[str, str]]:
    """The level is text, not a number, yet a verdict rests on it."""
    if "moisture_level" not in answers.assumed:
        return {}
    source = sentences.DEFAULT_OF_PACKAGE.format(package=answers.values["package"])
    return {"moisture_level": {"status": "assumed", "source": source}}


def by_default(package: str, found: Outline) -> Part:
    """A part of which nothing but the package is known."""
    answers = Answers(values={"package": package, "name": package, "passes_max": 3})
    taken = ("thickness_mm", "length_mm", "width_mm", "moisture_level")
    answers.values |= {key: getattr(found, key) for key in taken}
    answers.values["fragile"] = list(found.fragile)
    answers.assumed = {*taken, "passes_max"}
    return build(answers, package)
