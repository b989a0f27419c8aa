"""What each part must not be put through: its own sheet's limits, J-STD-020D's where it is silent.

A part is taken to be as hot as the board at its bead.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from heatwright.documents.bench import Fitted
from heatwright.documents.jstd020 import CLASSIFICATION, NEAR_PEAK_K
from heatwright.judging import curves
from heatwright.judging.curves import Curve
from heatwright.judging.windows import Limits, Measure, Status, hold


def measures(curve: Curve, fitted: Sequence[Fitted]) -> Iterator[Measure]:
    """Peak, time near it, rates and time to peak for every part, each named."""
    for one in fitted:
        yield from _of_part(curve, one)


def _of_part(curve: Curve, fitted: Fitted) -> Iterator[Measure]:
    limits, name = fitted.part.limits, fitted.name

    def most(high: float, above: Status = "fail") -> Limits:
        return Limits(None, high, limits.source, above=above)

    rising, top_s = curve.still_rises, curve.peak_s
    peak = most(limits.peak_c)
    yield hold("part_peak", curve.peak_c, "°C", peak, top_s, rising, part=name)
    near_c = limits.peak_c - NEAR_PEAK_K
    near_s = curves.time_above(curve.time_s, curve.board_c, near_c)
    at_s = curves.first_reach(curve.time_s, curve.board_c, near_c)
    hot = curve.ends_above(near_c)
    yield hold("part_near_peak", near_s, "s", most(limits.near_peak_s), at_s, hot, part=name)
    yield from _rates(curve, fitted)
    # a warning only, as for the paste: a slow start costs flux and cracks nothing
    slow = most(limits.to_peak_max_s, "warn")
    yield hold("part_time_to_peak", curve.to_peak_s, "s", slow, top_s, rising, part=name)


def _rates(curve: Curve, fitted: Fitted) -> Iterator[Measure]:
    """Steepest rise and fall: over all of the run where the sheet says so, else above liquidus."""
    part, limits = fitted.part, fitted.part.limits
    above = curve.time_s[curve.board_c >= CLASSIFICATION[part.process].liquidus_c]
    whole = (float(curve.time_s[0]), float(curve.time_s[-1]))
    hot = (float(above[0]), float(above[-1])) if above.size else None
    up = whole if part.sheet.up_limit_c_per_s is not None else hot
    down = whole if part.sheet.down_limit_c_per_s is not None else hot
    spans = []
    if up:
        spans.append(("part_heating", up[0], curve.peak_s, 1, limits.ramp_up_max_c_per_s))
    if down:
        spans.append(("part_cooling", curve.peak_s, down[1], -1, limits.ramp_down_max_c_per_s))
    for name, from_s, to_s, sign, high in spans:
        found = curve.steepest(from_s, to_s, sign)
        if found:
            limit = Limits(None, high, limits.source, above="fail")
            yield hold(name, found[0], "°C/s", limit, found[1], part=fitted.name)
