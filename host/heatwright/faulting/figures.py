"""A campaign's cases summed up: a row a fault, and the figures that the page states."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

Case = dict[str, Any]
# The name of the one moment after the door's cue.
AFTER_CUE = "ramp down"


@dataclass(frozen=True)
class Row:
    """One fault over all its cases. Seconds are to heater off; NaN where no case was detected."""

    fault: str
    cases: int
    detected: int
    median_s: float
    p95_s: float
    max_s: float
    highest_c: float
    highest_undetected_c: float
    seconds_to_300_c: float


def rows(cases: Sequence[Case]) -> list[Row]:
    """One row a fault, in the order in which they first stand in ``cases``."""
    names = dict.fromkeys(case["fault"] for case in cases)
    return [row([case for case in cases if case["fault"] == name]) for name in names]


def row(cases: Sequence[Case]) -> Row:
    """All these cases as one row under the first one's name."""
    off_s = [case["seconds_to_off"] for case in cases if case["seconds_to_off"] is not None]
    limit_s = [case["seconds_to_300_c"] for case in cases if case["seconds_to_300_c"] is not None]
    unseen = [case["max_board_c"] for case in cases if not case["detected"]]
    return Row(
        fault=cases[0]["fault"],
        cases=len(cases),
        detected=sum(case["detected"] for case in cases),
        median_s=percentile(off_s, 50),
        p95_s=percentile(off_s, 95),
        max_s=percentile(off_s, 100),
        highest_c=max(case["max_board_c"] for case in cases),
        highest_undetected_c=max(unseen, default=math.nan),
        seconds_to_300_c=min(limit_s, default=math.nan),
    )


def since_low_duty(cases: Iterable[Case]) -> list[Case]:
    """The cases seen at low duty, seconds counted from when it was low.

    A weld under nearly full power changes nothing and so shows nothing: the time until the loop
    asks for less is not the rules' own.
    """
    return [
        {**case, "seconds_to_off": case["seconds_to_off"] - case["low_duty_from_s"]}
        for case in cases
        if case["seconds_to_off"] is not None
        and case["low_duty_from_s"] is not None
        and case["low_duty_from_s"] <= case["seconds_to_off"]
    ]


def is_after_cue(case: Case) -> bool:
    """Whether it was struck with the door already asked for: most rules are at rest by then."""
    return bool(case["moment"] == AFTER_CUE)


def percentile(values: Iterable[float], share: float) -> float:
    """NaN where there is no value."""
    found = list(values)
    return float(np.percentile(found, share)) if found else math.nan
