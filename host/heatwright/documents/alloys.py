"""Solder alloys by their standard designations, with the temperatures at which they melt.

Source: public tables that use the designations of ISO 9453 and J-STD-006; the tables of the
standards themselves were not seen.
"""

from __future__ import annotations

import difflib
import re
from typing import NamedTuple


class Alloy(NamedTuple):
    """One alloy; shares are percent by mass."""

    name: str
    short: str
    solidus_c: float
    liquidus_c: float


ALLOYS = (
    Alloy("Sn63Pb37", "", 183.0, 183.0),
    Alloy("Sn62Pb36Ag2", "", 179.0, 179.0),
    Alloy("Sn96.5Ag3Cu0.5", "SAC305", 217.0, 220.0),
    Alloy("Sn99Ag0.3Cu0.7", "SAC0307", 217.0, 227.0),
    Alloy("Sn42Bi58", "", 138.5, 138.5),
    Alloy("Sn42Bi57.6Ag0.4", "", 137.5, 142.0),
    Alloy("Sn96.5Ag3.5", "", 221.0, 221.0),
    Alloy("Sn99.3Cu0.7", "", 227.0, 227.0),
)
# data sheets round and quote ranges: this far from the table is no fault
TOLERANCE_K = 5.0
_ELEMENT = re.compile(r"([A-Z][a-z]?)(\d+(?:\.\d+)?)?")


def plain(name: str) -> str:
    """A name without case, spaces, points and dashes: ``Sn63/Pb37`` becomes ``sn63pb37``."""
    return re.sub(r"[\s._/-]", "", name).casefold()


def known(name: str) -> Alloy | None:
    """The alloy of this designation or short name, in any case; None for one not in the table."""
    # most alloys have no short name: an empty one is nobody's
    asked = plain(name)
    return next((a for a in ALLOYS if asked and asked in (plain(a.name), plain(a.short))), None)


def shares(name: str) -> dict[str, float]:
    """Percent by mass of each element, read from the designation; empty if it is not one.

    One element may stand without a number: it makes up the rest.
    """
    alloy = known(name)
    text = re.sub(r"[\s/-]", "", alloy.name if alloy else name)
    if not re.fullmatch(f"(?:{_ELEMENT.pattern}){{2,}}", text):
        return {}
    parts = {element: float(share) if share else None for element, share in _ELEMENT.findall(text)}
    return _with_rest(parts)


def _with_rest(parts: dict[str, float | None]) -> dict[str, float]:
    given = {element: share for element, share in parts.items() if share is not None}
    rest = [element for element in parts if element not in given]
    total = sum(given.values())
    if len(rest) == 1 and total < 100.0:
        return given | {rest[0]: 100.0 - total}
    return given if not rest and 99.0 <= total <= 101.0 else {}


def nearest(name: str) -> str | None:
    """The designation or short name that this text most resembles, for "did you mean"."""
    names = {plain(text): text for alloy in ALLOYS for text in (alloy.name, alloy.short) if text}
    close = difflib.get_close_matches(plain(name), names, n=1, cutoff=0.7)
    return names[close[0]] if close else None
