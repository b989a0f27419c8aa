"""One measured value held against one window, with its margin and what lying outside means."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, NamedTuple

Status = Literal["pass", "likely_pass", "warn", "fail", "unknown"]


class Limits(NamedTuple):
    """A window, where its numbers come from, and the status of a value outside either end.

    Above ``never_above`` a value fails, whatever the window's own high end means.
    """

    low: float | None
    high: float | None
    source: str
    below: Status = "warn"
    above: Status = "warn"
    never_above: float | None = None

    def status(self, value: float) -> Status:
        if self.never_above is not None and not value <= self.never_above:
            return "fail"
        if self.low is not None and not value >= self.low:
            return self.below
        if self.high is not None and not value <= self.high:
            return self.above
        return "pass"

    def margin(self, value: float) -> float | None:
        """Distance to the nearer end, negative outside; None where neither end binds."""
        ends = [value - self.low] if self.low is not None else []
        ends += [self.high - value] if self.high is not None else []
        return min(ends, default=None)


@dataclass(frozen=True)
class Measure:
    """One measured thing.

    ``margin`` is the distance to the nearer end of the window, negative outside; ``source`` says
    where the window's numbers come from; ``at_s`` where on the curve the value lies; ``part`` which
    part it is about, if one; ``value_low`` and ``value_high`` how far the board's own uncertainty
    carries the value.
    """

    name: str
    value: float | None
    unit: str
    low: float | None
    high: float | None
    margin: float | None
    status: Status
    source: str
    at_s: float | None = None
    part: str | None = None
    value_low: float | None = None
    value_high: float | None = None

    @property
    def key(self) -> tuple[str, str | None]:
        """What tells this measure from the others of a verdict."""
        return (self.name, self.part)

    @property
    def is_low(self) -> bool:
        """Below the window, as against above it."""
        return self.value is not None and self.low is not None and self.value < self.low


def hold(
    name: str,
    value: float,
    unit: str,
    limits: Limits,
    at_s: float | None = None,
    at_least: bool = False,
    part: str | None = None,
) -> Measure:
    """Hold a value against its limits; of one that is ``at_least`` this only the high end speaks.

    A record that stops while the board is hot gives such values: they may still grow.
    """
    status = limits.status(value)
    if at_least and (limits.high is None or value <= limits.high):
        status = "unknown"
    margin = limits.margin(value)
    ends = (limits.low, limits.high)
    return Measure(name, value, unit, *ends, margin, status, limits.source, at_s, part)


def missing(name: str, unit: str, limits: Limits) -> Measure:
    """A measure that this curve can't give."""
    return Measure(name, None, unit, limits.low, limits.high, None, "unknown", limits.source)
