"""How the parts fared, in a few words each: safe, so far from a limit, or over it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from heatwright import sentences
from heatwright.documents.bench import Fitted
from heatwright.documents.paste import Paste
from heatwright.judging.windows import Measure


def melted(measures: Sequence[Measure], paste: Paste) -> str:
    """Whether the paste melted for as long as it should, wherever within its band the board was."""
    above = next(m for m in measures if m.name == "time_above_liquidus")
    long_enough = (above.value_low or 0.0) >= paste.window.above_liquidus_s.low
    return sentences.MELTED_EVERYWHERE if long_enough else sentences.MELTED_MEASURED


def states(measures: Sequence[Measure], fitted: Sequence[Fitted]) -> Iterator[str]:
    """A phrase for each part that heat can spoil, and for any other that came near a limit."""
    safe: list[str] = []
    near: list[str] = []
    for one in fitted:
        own = [m for m in measures if m.part == one.name]
        peak = next(m for m in own if m.name == "part_peak")
        if peak.status != "pass":
            near.append(_near(short(one), peak))
        elif one.part.fragile and all(m.status == "pass" for m in own):
            safe.append(short(one))
    if safe:
        yield sentences.PART_SAFE.format(names=_joined(safe))
    yield from near


def _near(name: str, peak: Measure) -> str:
    margin_k = peak.margin or 0.0
    sentence = sentences.PART_NEAR if margin_k >= 0 else sentences.PART_OVER
    size_k = abs(margin_k)
    return sentence.format(name=name, by=f"{size_k:.0f} °C" if size_k >= 1 else f"{size_k:.1f} °C")


def short(fitted: Fitted) -> str:
    """A part's name as it stands inside a sentence."""
    name = fitted.part.name
    return f"{name[0].lower()}{name[1:]}" if name[1:2].islower() else name


def _joined(names: list[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
