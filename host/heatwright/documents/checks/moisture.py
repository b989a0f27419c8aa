"""Floor life out of the dry bag, counted from its opening (J-STD-020/033, at 30 °C / 60 % RH)."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterator

from heatwright import sentences
from heatwright.documents.bench import Bench, Fitted
from heatwright.documents.checks.finding import Finding

HOURS_A_DAY = 24.0


def findings(bench: Bench, now: dt.datetime) -> Iterator[Finding]:
    """A finding for each part that moisture can spoil."""
    for fitted in bench.fitted:
        life_h = fitted.part.life_out_of_bag_h
        if life_h is not None and life_h != math.inf:
            yield _finding(fitted, life_h, now)


def _finding(fitted: Fitted, life_h: float, now: dt.datetime) -> Finding:
    part = fitted.part
    words = {
        "name": fitted.name,
        "level": part.moisture_level or sentences.LEVEL_ON_LABEL,
        "life": duration(life_h),
    }
    if life_h <= 0.0:
        return Finding("warn", "bake_first", sentences.LEVEL_6.format(**words))
    if part.bag_opened_at is None:
        return Finding("note", "bag_not_noted", sentences.BAG_NOT_NOTED.format(**words))
    out_h = hours_between(part.bag_opened_at, now)
    if out_h < 0.0:
        text = sentences.LIFE_AHEAD.format(at=f"{part.bag_opened_at:%Y-%m-%d %H:%M}", **words)
        return Finding("warn", "bag_in_future", text)
    if not out_h <= life_h:
        text = sentences.LIFE_OVER.format(out=duration(out_h), **words)
        return Finding("warn", "floor_life_over", text)
    text = sentences.LIFE_LEFT.format(left=duration(life_h - out_h), **words)
    return Finding("note", "floor_life", text)


def hours_between(opened: dt.datetime, now: dt.datetime) -> float:
    """Hours from one moment to the other; a moment without a zone is local time."""
    return (now.astimezone() - opened.astimezone()).total_seconds() / 3600.0


def duration(hours: float) -> str:
    """Hours as a person counts them: ``5 h``, ``3 days``."""
    if hours < 2 * HOURS_A_DAY:
        return f"{hours:.0f} h"
    return f"{hours / HOURS_A_DAY:.0f} days"
