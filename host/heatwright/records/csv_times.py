"""Times of a foreign CSV: seconds, clock times, dates with times; all become seconds."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from datetime import UTC, datetime

DAY_S = 86_400.0
# Dates with two numbers first: only differences count, so day and month may be either.
DATE_FORMATS = (
    "%d.%m.%Y %H:%M:%S", "%d.%m.%Y %H:%M:%S.%f", "%d/%m/%Y %H:%M:%S", "%m/%d/%Y %H:%M:%S",
    "%d/%m/%Y %H:%M:%S.%f", "%m/%d/%Y %H:%M:%S.%f", "%d.%m.%y %H:%M:%S", "%m/%d/%Y %I:%M:%S %p",
)  # fmt: skip
_CLOCK = re.compile(r"(?:(\d{1,3}):)?(\d{1,3}):(\d{1,2}(?:[.,]\d{1,9})?)")
NUMBER_UNITS = {"s": 1.0, "ms": 1e-3, "min": 60.0}
# Seconds since 1970 in this century, and the same in milliseconds.
EPOCH_S, EPOCH_MS = (9.4e8, 4.2e9), (9.4e11, 4.2e12)

Read = Callable[[str], float | None]


def clock(text: str) -> float | None:
    """Seconds of ``H:MM:SS``, ``MM:SS`` or the same with fractions; None for anything else."""
    found = _CLOCK.fullmatch(text)
    if found is None:
        return None
    hours, minutes, seconds = found.groups()
    return 3600.0 * int(hours or 0) + 60.0 * int(minutes) + float(seconds.replace(",", "."))


def moment(text: str) -> float | None:
    """Seconds since 1970 of a date with a time; without a time zone, as if it were UTC."""
    try:
        found = datetime.fromisoformat(text.replace("/", "-", 2) if text[:4].isdigit() else text)
    except ValueError:
        return _dated(text)
    return _seconds(found)


def _dated(text: str) -> float | None:
    for form in DATE_FORMATS:
        try:
            return _seconds(datetime.strptime(text, form))
        except ValueError:
            continue
    return None


def _seconds(found: datetime) -> float | None:
    aware = found if found.tzinfo else found.replace(tzinfo=UTC)
    try:
        return aware.timestamp()
    except (OverflowError, ValueError):
        return None


def reading_of(texts: list[str], number: Read, unit: str | None) -> Read:
    """How the cells of a time column are read, told by the first that says something."""
    first = next((text for text in texts if text), "")
    value = number(first)
    if value is not None:
        factor = NUMBER_UNITS[unit] if unit else _factor(value)
        return lambda text: _scaled(number(text), factor)
    return clock if clock(first) is not None else moment


def _scaled(value: float | None, factor: float) -> float | None:
    return None if value is None or not math.isfinite(value) else value * factor


def _factor(first: float) -> float:
    """A number without a unit is seconds; a moment since 1970 may be in milliseconds."""
    return 1e-3 if EPOCH_MS[0] <= first <= EPOCH_MS[1] else 1.0


def started(first_s: float) -> str | None:
    """The moment of the first row where the times say it, as ISO 8601."""
    if not EPOCH_S[0] <= first_s <= EPOCH_S[1]:
        return None
    return datetime.fromtimestamp(first_s, UTC).isoformat(timespec="seconds")


def over_midnight(times_s: list[float]) -> list[float]:
    """Clock times that begin anew at 0:00 go on counting instead."""
    days, before, kept = 0.0, -math.inf, []
    for time_s in times_s:
        if time_s + days < before - DAY_S / 2:
            days += DAY_S
        before = time_s + days
        kept.append(before)
    return kept
