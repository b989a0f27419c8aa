"""The paste, in the words of its label and data sheet; the rest by its alloy."""

from __future__ import annotations

import difflib
import re
from typing import Any

from heatwright import sentences
from heatwright.documents import alloys, library
from heatwright.documents.alloys import ALLOYS, Alloy
from heatwright.documents.describing.answers import NotAnAnswer
from heatwright.documents.describing.building import document, nested, origins
from heatwright.documents.describing.interview import Answers
from heatwright.documents.describing.questions import Default, Question, Values, of
from heatwright.documents.paste import Paste
from heatwright.errors import BadInput

# What stands on labels as "melting point", and the alloy that most often stands behind it.
ON_LABELS = {138: "Sn42Bi58", 179: "Sn62Pb36Ag2", 183: "Sn63Pb37", 217: "SAC305", 227: "SAC0307"}
# labels round: 138.5 is printed as 138 or 139
LABEL_TOLERANCE_K = 1.5


def read_melting(text: str) -> str:
    """The alloy that a label names, or that its melting point stands for."""
    bare = text.strip().removesuffix("C").rstrip(" °")
    if re.fullmatch(r"\d+(?:[.,]\d+)?", bare):
        return _alloy_at(float(bare.replace(",", ".")))
    return _alloy_named(text.strip())


def _alloy_at(melts_c: float) -> str:
    near = [name for at_c, name in ON_LABELS.items() if abs(at_c - melts_c) <= LABEL_TOLERANCE_K]
    if not near:
        known = ", ".join(map(str, ON_LABELS))
        raise NotAnAnswer(sentences.NO_ALLOY_MELTS_THERE.format(at=f"{melts_c:g}", known=known))
    return near[0]


def _alloy_named(text: str) -> str:
    if alloys.known(text) or alloys.shares(text):
        return text
    names = [alloy.short or alloy.name for alloy in ALLOYS]
    near = alloys.nearest(text) or next(iter(difflib.get_close_matches(text, names, 1)), None)
    hint = " " + sentences.DID_YOU_MEAN.format(name=near) if near else ""
    raise NotAnAnswer(sentences.NOT_A_MELTING_POINT.format(text=text) + hint)


def shipped_for(alloy: str) -> Paste | None:
    """The shipped paste of this alloy, or None."""
    try:
        return library.load_paste(alloy)
    except BadInput:
        return None


def _by_alloy(key: str) -> Default:
    """What the shipped paste of the same alloy has at this key."""

    def default(values: Values) -> Any:
        known = shipped_for(values["alloy"])
        found: Any = known
        for name in key.split("."):
            found = getattr(found, name, None)
        return tuple(found) if isinstance(found, tuple) else found

    return default


def _melting(key: str) -> Default:
    def default(values: Values) -> Any:
        found: Alloy | None = alloys.known(values["alloy"])
        return getattr(found, key) if found else None

    return default


def _name(values: Values) -> Any:
    known = shipped_for(values["alloy"])
    return known.name if known else values["alloy"]


QUESTIONS = (
    Question("alloy", sentences.ASK_ALLOY, sentences.ASK_ALLOY_EXPECTED, read_melting, needed=True),
    of(Paste, "name", sentences.ASK_PASTE_NAME, _name),
    of(Paste, "solidus_c", sentences.ASK_SOLIDUS, _melting("solidus_c"), needed=True),
    of(Paste, "liquidus_c", sentences.ASK_LIQUIDUS, _melting("liquidus_c"), needed=True),
    *(
        of(Paste, f"window.{key}", words, _by_alloy(f"window.{key}"), needed=True)
        for key, words in sentences.ASK_WINDOW.items()
    ),
    of(
        Paste,
        "window.down_limit_c_per_s",
        sentences.ASK_DOWN_LIMIT,
        _by_alloy("window.down_limit_c_per_s"),
    ),
    of(Paste, "window.to_peak_s", sentences.ASK_TO_PEAK),
    of(Paste, "powder_type", sentences.ASK_POWDER),
    of(Paste, "storage_c", sentences.ASK_STORAGE),
    of(Paste, "expires_on", sentences.ASK_EXPIRES),
    of(Paste, "opened_on", sentences.ASK_OPENED),
)


def build(answers: Answers, name: str) -> Paste:
    """The paste of these answers. Raises `BadInput`."""
    values = dict(answers.values)
    known = shipped_for(values["alloy"])
    if known and known.window.above_c is not None and "liquidus_c" in answers.assumed:
        values["window.above_c"] = known.window.above_c
    source = sentences.DEFAULT_OF_ALLOY.format(alloy=values["alloy"])
    assumed = dict.fromkeys(answers.assumed | {"window.above_c"}, source)
    return document(Paste, nested(values) | {"origin": origins(assumed, values)}, name)
