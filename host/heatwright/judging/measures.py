"""What a data sheet asks of a board's curve: measured, held against its window, with the margin.

Pure: arrays and a paste in, measures out. Planning and campaigns call it too.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import NamedTuple

from heatwright.documents.bench import Fitted
from heatwright.documents.jstd020 import SOURCE as J_STD_020
from heatwright.documents.paste import Paste
from heatwright.judging import curves, packages, parts
from heatwright.judging.curves import Curve, Floats
from heatwright.judging.windows import Limits, Measure, Status, hold, missing

# Rates are slopes of a least-squares line over this window: long enough that a sensor's
# quarter-degree steps hardly count, short enough to see a door opened.
RATE_WINDOW_S = 10.0


def measure(
    time_s: Floats, board_c: Floats, paste: Paste, fitted: Sequence[Fitted] = ()
) -> list[Measure]:
    """Hold a board's curve against a paste's windows, J-STD-020D's upper ends and parts' limits.

    Peak and time above liquidus decide whether there is a joint: short of them is a ``fail``, and
    so is a peak above its window. Soak and rates decide how good the joint is: outside them is a
    ``warn``. Beyond what J-STD-020 puts a part through is a ``fail``.

    Args:
        time_s: seconds, strictly rising, shape (n,), n >= 2; steps of any length.
        board_c: board temperature in degrees Celsius, shape (n,), no NaN.
        paste: the windows; each measure names where its numbers come from.
        fitted: the parts on the board, each with limits of its own.

    Raises:
        ValueError: the arrays are not such a curve.
    """
    curve = curves.curve(time_s, board_c, RATE_WINDOW_S)
    own = [_held(rule, curve, paste) for rule in RULES]
    table = packages.classification(paste)
    return [*own, *packages.measures(curve, table), *parts.measures(curve, fitted)]


def unmeasured(paste: Paste) -> list[Measure]:
    """The paste's own measures with their windows and no values: the board is not known."""
    return [missing(rule.name, rule.unit, rule.limits(paste)) for rule in RULES]


class Found(NamedTuple):
    """A value on the curve; ``at_least`` where the record stops too early to tell it."""

    value: float
    at_s: float | None
    at_least: bool


class Rule(NamedTuple):
    """One thing a data sheet asks for."""

    name: str
    unit: str
    limits: Callable[[Paste], Limits]
    find: Callable[[Curve, Paste], Found | None]


def _held(rule: Rule, curve: Curve, paste: Paste) -> Measure:
    found, limits = rule.find(curve, paste), rule.limits(paste)
    if found is None:
        return missing(rule.name, rule.unit, limits)
    return hold(rule.name, found.value, rule.unit, limits, found.at_s, found.at_least)


def _window(key: str, below: Status = "warn", above: Status = "warn") -> Callable[[Paste], Limits]:
    def limits(paste: Paste) -> Limits:
        low, high = getattr(paste.window, key)
        return Limits(low, high, _source(paste, key), below, above)

    return limits


def _source(paste: Paste, key: str) -> str:
    origin = paste.origin_of(key)
    return f"{paste.name}: {origin.source} ({origin.status.replace('_', ' ')})"


def _peak(curve: Curve, _: Paste) -> Found:
    return Found(curve.peak_c, curve.peak_s, curve.still_rises)


def _above_liquidus(curve: Curve, paste: Paste) -> Found:
    seconds = curves.time_above(curve.time_s, curve.board_c, paste.above_c)
    at_s = curves.first_reach(curve.time_s, curve.board_c, paste.above_c)
    return Found(seconds, at_s, curve.ends_above(paste.above_c))


def _soak(curve: Curve, paste: Paste) -> Found:
    """Time between the two soak temperatures on the way up: also right where the curve dips."""
    low, high = (curves.time_above(*curve.to_peak, end_c) for end_c in paste.window.soak_c)
    at_s = curves.first_reach(curve.time_s, curve.board_c, paste.window.soak_c.low)
    return Found(low - high, at_s, curve.still_rises)


def _heating(curve: Curve, _: Paste) -> Found | None:
    steepest = curve.steepest(curve.time_s[0], curve.peak_s, 1)
    return Found(*steepest, at_least=False) if steepest else None


def _cooling(curve: Curve, paste: Paste) -> Found | None:
    steepest = curve.steepest(curve.peak_s, curve.time_s[-1], -1)
    return Found(*steepest, at_least=curve.ends_above(paste.above_c)) if steepest else None


def _cooling_limits(paste: Paste) -> Limits:
    limits = _window("down_c_per_s")(paste)
    return limits._replace(never_above=paste.window.down_limit_c_per_s)


def _to_peak(curve: Curve, _: Paste) -> Found:
    """A board that starts warmer than 25 °C is counted from the record's start."""
    return Found(curve.to_peak_s, curve.peak_s, curve.still_rises)


def _to_peak_limits(paste: Paste) -> Limits:
    if paste.window.to_peak_s is not None:
        return _window("to_peak_s")(paste)
    # a warning only: a slow start costs flux, it does not crack parts
    return Limits(None, packages.classification(paste).to_peak_max_s, J_STD_020)


RULES = (
    Rule("peak", "°C", _window("peak_c", "fail", "fail"), _peak),
    Rule("time_above_liquidus", "s", _window("above_liquidus_s", "fail"), _above_liquidus),
    Rule("soak", "s", _window("soak_s"), _soak),
    Rule("heating_rate", "°C/s", _window("up_c_per_s"), _heating),
    Rule("cooling_rate", "°C/s", _cooling_limits, _cooling),
    Rule("time_to_peak", "s", _to_peak_limits, _to_peak),
)
