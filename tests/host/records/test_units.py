"""The one converting module: there and back, and what is missing stays missing."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from heatcore.inputs import NONE
from heatwright.records import units

PAIRS = (
    (units.mc_from_c, units.c_from_mc, 1000),
    (units.mk_from_k, units.k_from_mk, 1000),
    (units.ms_from_s, units.s_from_ms, 1000),
)


@given(st.integers(-300_000, 500_000))
def test_whole_numbers_come_back_as_they_were(whole: int) -> None:
    for to_whole, from_whole, _ in PAIRS:
        assert to_whole(float(from_whole(whole))) == whole


@pytest.mark.parametrize(("to_whole", "from_whole", "parts"), PAIRS)
def test_one_unit_is_so_many_parts(to_whole, from_whole, parts) -> None:
    assert to_whole(217.25) == 217.25 * parts
    assert from_whole([parts, -parts]).tolist() == [1.0, -1.0]


def test_missing_is_nan_on_the_host_and_none_in_the_core() -> None:
    assert np.isnan(units.c_from_mc([NONE, 25_000])).tolist() == [True, False]
    assert units.mc_from_c(math.nan) == NONE
    assert units.mc_from_c(None) == NONE


@given(st.floats(-10, 10, allow_nan=False))
def test_duty_never_leaves_its_range(fraction: float) -> None:
    duty = units.duty_from_fraction(fraction)
    assert 0 <= duty <= 10_000
    if 0 <= fraction <= 1:
        # half a count, and what floating point adds to it
        assert float(units.fraction_from_duty(duty)) == pytest.approx(fraction, abs=0.5e-4 + 1e-12)
