"""The one door between the core's integers (mC, mK, ms, 0..10000) and the host's C, K, s, 0..1.

A missing value is ``NONE`` in the core and NaN on the host.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from heatcore.inputs import NONE

Floats = NDArray[np.float64]

MILLI = 1000
FULL_DUTY = 10_000


def _scaled(values: ArrayLike, parts: int) -> Floats:
    whole = np.asarray(values, dtype=np.int64)
    return np.where(whole == NONE, np.nan, whole / parts)


def _whole(value: float | None, parts: int) -> int:
    if value is None or math.isnan(value):
        return NONE
    return round(value * parts)


def c_from_mc(values: ArrayLike) -> Floats:
    """Temperatures, milli-degrees Celsius to degrees Celsius; NONE becomes NaN."""
    return _scaled(values, MILLI)


def k_from_mk(values: ArrayLike) -> Floats:
    """Temperature differences, millikelvin to kelvin; NONE becomes NaN."""
    return _scaled(values, MILLI)


def s_from_ms(values: ArrayLike) -> Floats:
    """Times, milliseconds to seconds; NONE becomes NaN."""
    return _scaled(values, MILLI)


def fraction_from_duty(values: ArrayLike) -> Floats:
    """Duty, parts of 10,000 to 0..1; NONE becomes NaN."""
    return _scaled(values, FULL_DUTY)


def mc_from_c(value_c: float | None) -> int:
    """A temperature, degrees Celsius to milli-degrees; None and NaN become NONE."""
    return _whole(value_c, MILLI)


def mk_from_k(value_k: float | None) -> int:
    """A temperature difference, kelvin to millikelvin; None and NaN become NONE."""
    return _whole(value_k, MILLI)


def ms_from_s(value_s: float | None) -> int:
    """A time, seconds to milliseconds; None and NaN become NONE."""
    return _whole(value_s, MILLI)


def duty_from_fraction(value: float) -> int:
    """Duty 0..1 to parts of 10,000, held inside 0..10000."""
    return min(max(_whole(value, FULL_DUTY), 0), FULL_DUTY)
