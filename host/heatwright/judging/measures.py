"""What a data sheet asks of a board's curve: measured, held against its window, with the margin.

Pure: arrays and a paste in, measures out. Planning and campaigns call it too.
"""

from __future__ import annotations

from heatwright.documents.jstd020 import SOURCE as J_STD_020
from heatwright.documents.paste import Paste
from heatwright.judging import curves, packages
from heatwright.judging.curves import Curve, Floats
from heatwright.judging.windows import Limits, Measure, Status, hold, missing

# Rates are slopes of a least-squares line over this window: long enough that a sensor's
# quarter-degree steps hardly count, short enough to see a door opened.
RATE_WINDOW_S = 10.0
# Data sheets and J-STD-020 count the time to peak from here.
ROOM_C = 25.0


def measure(time_s: Floats, board_c: Floats, paste: Paste) -> list[Measure]:
    """Hold a board's curve against the windows of a paste and the upper ends of J-STD-020D.

    Peak and time above liquidus decide whether there is a joint: short of them is a ``fail``, and
    so is a peak above its window. Soak and rates decide how good the joint is: outside them is a
    ``warn``. Beyond what J-STD-020 puts a part through is a ``fail``.

    Args:
        time_s: seconds, strictly rising, shape (n,), n >= 2; steps of any length.
        board_c: board temperature in degrees Celsius, shape (n,), no NaN.
        paste: the windows; each measure names where its numbers come from.

    Raises:
        ValueError: the arrays are not such a curve.
    """
    curve = curves.curve(time_s, board_c, RATE_WINDOW_S)
    return [
        _peak(curve, paste),
        _above_liquidus(curve, paste),
        _soak(curve, paste),
        _heating(curve, paste),
        _cooling(curve, paste),
        _to_peak(curve, paste),
        *packages.measures(curve, packages.classification(paste)),
    ]


def _limits(paste: Paste, key: str, below: Status = "warn", above: Status = "warn") -> Limits:
    low, high = getattr(paste.window, key)
    return Limits(low, high, _source(paste, key), below, above)


def _source(paste: Paste, key: str) -> str:
    origin = paste.origin_of(key)
    return f"{paste.name}: {origin.source} ({origin.status.replace('_', ' ')})"


def _peak(curve: Curve, paste: Paste) -> Measure:
    limits = _limits(paste, "peak_c", below="fail", above="fail")
    return hold("peak", curve.peak_c, "°C", limits, curve.peak_s, at_least=curve.still_rises)


def _above_liquidus(curve: Curve, paste: Paste) -> Measure:
    seconds = curves.time_above(curve.time_s, curve.board_c, paste.above_c)
    at_s = curves.first_reach(curve.time_s, curve.board_c, paste.above_c)
    limits = _limits(paste, "above_liquidus_s", below="fail")
    open_end = curve.ends_above(paste.above_c)
    return hold("time_above_liquidus", seconds, "s", limits, at_s, at_least=open_end)


def _soak(curve: Curve, paste: Paste) -> Measure:
    """Time between the two soak temperatures on the way up: also right where the curve dips."""
    low, high = (curves.time_above(*curve.to_peak, end_c) for end_c in paste.window.soak_c)
    at_s = curves.first_reach(curve.time_s, curve.board_c, paste.window.soak_c.low)
    return hold("soak", low - high, "s", _limits(paste, "soak_s"), at_s, curve.still_rises)


def _heating(curve: Curve, paste: Paste) -> Measure:
    limits = _limits(paste, "up_c_per_s")
    found = curve.steepest(curve.time_s[0], curve.peak_s, 1)
    if found is None:
        return missing("heating_rate", "°C/s", limits)
    return hold("heating_rate", found[0], "°C/s", limits, found[1])


def _cooling(curve: Curve, paste: Paste) -> Measure:
    limits = _limits(paste, "down_c_per_s", above=_too_fast(curve, paste))
    found = curve.steepest(curve.peak_s, curve.time_s[-1], -1)
    if found is None:
        return missing("cooling_rate", "°C/s", limits)
    open_end = curve.ends_above(paste.above_c)
    return hold("cooling_rate", found[0], "°C/s", limits, found[1], at_least=open_end)


def _too_fast(curve: Curve, paste: Paste) -> Status:
    """Above the window is a warning; above what the sheet says never to exceed it is a fail."""
    found = curve.steepest(curve.peak_s, curve.time_s[-1], -1)
    limit = paste.window.down_limit_c_per_s
    return "fail" if found and limit is not None and found[0] > limit else "warn"


def _to_peak(curve: Curve, paste: Paste) -> Measure:
    """A board that starts warmer than 25 °C is counted from the record's start."""
    start_s = curves.first_reach(curve.time_s, curve.board_c, ROOM_C)
    seconds = curve.peak_s - (curve.time_s[0] if start_s is None else start_s)
    limits = _to_peak_limits(paste)
    return hold("time_to_peak", seconds, "s", limits, curve.peak_s, at_least=curve.still_rises)


def _to_peak_limits(paste: Paste) -> Limits:
    if paste.window.to_peak_s is not None:
        return _limits(paste, "to_peak_s")
    return Limits(None, packages.classification(paste).to_peak_max_s, J_STD_020)
