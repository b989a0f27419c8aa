"""Recognises a number in another unit than its key says: °F for °C, inches for mm, ms for s."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import NamedTuple

from heatwright import sentences


class OtherUnit(NamedTuple):
    """A unit that people write by mistake: its key suffix, its name, and the way back."""

    suffix: str
    name: str
    convert: Callable[[float], float]


# Per suffix of our keys, likeliest first.
OTHERS: dict[str, tuple[OtherUnit, ...]] = {
    "_c_per_s": (
        OtherUnit("_c_per_min", "°C per minute", lambda v: v / 60),
        OtherUnit("_f_per_s", "°F per second", lambda v: v / 1.8),
        OtherUnit("_k_per_s", "K per second", lambda v: v),
    ),
    "_c": (
        OtherUnit("_f", "°F", lambda v: (v - 32) / 1.8),
        OtherUnit("_k", "K", lambda v: v - 273.15),
    ),
    "_s": (
        OtherUnit("_min", "minutes", lambda v: v * 60),
        OtherUnit("_ms", "ms", lambda v: v / 1000),
    ),
    "_mm": (
        OtherUnit("_um", "µm", lambda v: v / 1000),
        OtherUnit("_in", "inches", lambda v: v * 25.4),
        OtherUnit("_mil", "mil", lambda v: v * 0.0254),
        OtherUnit("_cm", "cm", lambda v: v * 10),
    ),
    "_um": (
        OtherUnit("_mm", "mm", lambda v: v * 1000),
        # one ounce of copper on a square foot
        OtherUnit("_oz", "oz", lambda v: v * 34.8),
    ),
    "_mg": (OtherUnit("_g", "g", lambda v: v * 1000),),
    "_h": (OtherUnit("_days", "days", lambda v: v * 24),),
    "_w": (OtherUnit("_kw", "kW", lambda v: v * 1000),),
    "_percent": (OtherUnit("_share", "a share of 1", lambda v: v * 100),),
    "_mm2": (OtherUnit("_cm2", "cm²", lambda v: v * 100),),
    "_mm3": (OtherUnit("_cm3", "cm³", lambda v: v * 1000),),
    "_cm2": (OtherUnit("_mm2", "mm²", lambda v: v / 100),),
    "_j_k": (OtherUnit("_kj_k", "kJ/K", lambda v: v * 1000),),
    "_w_k": (),
    "_w_m2k": (),
    "_per_k": (),
    "_v": (),
    "_k": (),
}
SIGNS = {
    "_c": "°C",
    "_c_per_s": "°C/s",
    "_um": "µm",
    "_mm2": "mm²",
    "_mm3": "mm³",
    "_cm2": "cm²",
    "_percent": "%",
    "_w": "W",
    "_v": "V",
    "_k": "K",
    "_j_k": "J/K",
    "_w_k": "W/K",
    "_w_m2k": "W/m²K",
    "_per_k": "1/K",
}


def suffix_of(key: str) -> str:
    """The unit at the end of one of our keys, with its underscore; empty for a key without."""
    return max((s for s in OTHERS if key.endswith(s)), key=len, default="")


def unit_of(key: str) -> str:
    """The unit of one of our keys as a person writes it."""
    suffix = suffix_of(key)
    return SIGNS.get(suffix, suffix.lstrip("_"))


def guess(key: str, values: Sequence[float], low: float, high: float) -> str:
    """A sentence if the values would all be in range in another unit, else nothing."""
    fits = []
    for other in OTHERS.get(suffix_of(key), ()):
        right = [other.convert(value) for value in values]
        if all(low <= value <= high for value in right):
            fits.append(
                sentences.OTHER_UNIT_IS.format(
                    other=other.name, right=listed(right), unit=unit_of(key)
                )
            )
    return sentences.LOOKS_LIKE.format(value=listed(values), fits=" or ".join(fits)) if fits else ""


def listed(values: Sequence[float]) -> str:
    """One number bare, several as a TOML list."""
    text = ", ".join(map(tidy, values))
    return text if len(values) == 1 else f"[{text}]"


def tidy(value: float) -> str:
    """At most four digits, and no exponent: good enough to type in again."""
    return f"{value:.4g}" if abs(value) < 10_000 else f"{value:.0f}"
