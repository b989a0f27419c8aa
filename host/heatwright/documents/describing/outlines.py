"""Usual outlines of packages, as defaults where the part's own sheet is not at hand.

All numbers are from memory, rounded, and marked *assumed* in what is written with them: bodies of
one name differ from maker to maker. They decide little: the column of the J-STD-020 table.
"""

from __future__ import annotations

import re
from typing import NamedTuple

from heatwright.documents.jstd020 import MoistureLevel
from heatwright.documents.part import Fragile


class Outline(NamedTuple):
    """A body in mm, the moisture level usual for it, and what heat spoils first."""

    name: str
    thickness_mm: float
    length_mm: float
    width_mm: float
    moisture_level: MoistureLevel = "1"
    fragile: tuple[Fragile, ...] = ()


_DRY: MoistureLevel = "3"  # the usual level of plastic packages that come in a dry bag
# Tried in this order, in any case; the first name that fits the words typed counts.
OUTLINES: tuple[tuple[str, Outline], ...] = (
    (
        r"mems|micro?phone|\bmic\b",
        Outline("MEMS microphone", 1.0, 3.5, 2.65, "1", ("vented_microphone",)),
    ),
    (
        r"electrolytic|e-?cap|\bcan\b",
        Outline("electrolytic capacitor, can", 5.8, 6.6, 6.6, "1", ("electrolytic",)),
    ),
    (
        r"connector|\busb\b|\bjst\b|socket|header|plastic",
        Outline("connector", 5.0, 9.0, 7.0, "1", ("plastic",)),
    ),
    (r"switch|button", Outline("switch", 3.5, 6.0, 6.0, "1", ("plastic",))),
    (r"\bled\b", Outline("LED", 0.8, 2.0, 1.25, "3", ("plastic",))),
    (r"crystal|\bxtal\b", Outline("crystal", 0.8, 3.2, 2.5)),
    (r"induct|choke", Outline("power inductor", 3.0, 5.0, 5.0)),
    (r"qfn-?16|dfn-?16", Outline("QFN-16", 0.9, 3.0, 3.0, _DRY)),
    (r"qfn-?(20|24)|24-?pin qfn", Outline("QFN-24", 0.9, 4.0, 4.0, _DRY)),
    (r"qfn-?(28|32)", Outline("QFN-32", 0.9, 5.0, 5.0, _DRY)),
    (r"qfn-?(40|48)", Outline("QFN-48", 0.9, 7.0, 7.0, _DRY)),
    (r"qfn-?(56|64)", Outline("QFN-56", 0.9, 8.0, 8.0, _DRY)),
    (r"qfn|dfn|son\b|leadless", Outline("QFN", 0.9, 5.0, 5.0, _DRY)),
    (r"bga", Outline("BGA", 1.4, 12.0, 12.0, _DRY)),
    (r"lga", Outline("LGA", 1.0, 5.0, 5.0, _DRY)),
    (r"t?qfp-?(32|48)|lqfp-?(32|48)", Outline("LQFP-48", 1.6, 7.0, 7.0, _DRY)),
    (r"qfp-?64", Outline("LQFP-64", 1.6, 10.0, 10.0, _DRY)),
    (r"qfp", Outline("LQFP", 1.6, 14.0, 14.0, _DRY)),
    (r"tssop|msop|ssop", Outline("TSSOP", 1.2, 5.0, 4.4)),
    (r"soic-?8|so-?8|sop-?8", Outline("SOIC-8", 1.75, 4.9, 3.9)),
    (r"soic|sop", Outline("SOIC", 2.35, 9.9, 3.9)),
    (r"sot-?23|sc-?70|sot", Outline("SOT-23", 1.1, 2.9, 1.3)),
    (r"dpak|to-?252", Outline("DPAK", 2.3, 6.5, 6.1)),
    (r"module|radio", Outline("module", 3.0, 18.0, 16.0, _DRY)),
    (r"0201", Outline("0201 chip", 0.3, 0.6, 0.3)),
    (r"0402", Outline("0402 chip", 0.5, 1.0, 0.5)),
    (r"0603", Outline("0603 chip", 0.8, 1.6, 0.8)),
    (r"0805", Outline("0805 chip", 1.25, 2.0, 1.25)),
    (r"1206", Outline("1206 chip", 1.6, 3.2, 1.6)),
    (r"1210", Outline("1210 chip", 2.0, 3.2, 2.5)),
)


def outline(words: str) -> Outline | None:
    """The usual outline of what these words name, or None."""
    text = words.casefold()
    return next((found for sign, found in OUTLINES if re.search(sign, text)), None)


def names() -> list[str]:
    """One name an outline, for a list of what is known."""
    return [found.name for _, found in OUTLINES]
