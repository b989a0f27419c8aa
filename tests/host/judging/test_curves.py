"""Times, areas and slopes against closed forms."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from heatwright.judging import curves

# 60 s above 217 C, 25 K over, as in the checks of the heating factor.
LIQUIDUS_C, SPAN_S, EXCESS_K = 217.0, 60.0, 25.0
steps = st.lists(st.floats(0.01, 5.0), min_size=5, max_size=40)


def irregular(gaps: list[float], *corners_s: float) -> np.ndarray:
    """Times of uneven steps from 0 that hit every corner."""
    return np.unique(np.concatenate([[0.0], np.cumsum(gaps), corners_s]))


@given(steps)
def test_a_triangle_is_exact_whatever_the_steps(gaps: list[float]) -> None:
    time_s = irregular(gaps, 60.0, 90.0, 120.0, 200.0)
    value = np.interp(time_s, [0, 60, 90, 120, 200], [167, 217, 242, 217, 150])
    assert curves.time_above(time_s, value, LIQUIDUS_C) == pytest.approx(SPAN_S)
    assert curves.area_above(time_s, value, LIQUIDUS_C) == pytest.approx(SPAN_S * EXCESS_K / 2)
    assert curves.first_reach(time_s, value, LIQUIDUS_C) == pytest.approx(60.0)


@given(st.floats(150.0, 241.9))
def test_crossings_between_samples_are_interpolated(threshold: float) -> None:
    time_s, value = np.array([0.0, 100.0, 300.0]), np.array([142.0, 242.0, 142.0])
    share = (242.0 - threshold) / 100.0
    assert curves.time_above(time_s, value, threshold) == pytest.approx(300.0 * share)
    assert curves.first_reach(time_s, value, threshold) == pytest.approx(100.0 * (1 - share))


def test_excursions_add_up() -> None:
    time_s = np.arange(0.0, 9.0)
    value = np.array([0.0, 2.0, 0.0, 2.0, 0.0, 0.0, 2.0, 2.0, 0.0])
    assert curves.time_above(time_s, value, 1.0) == 4.0
    assert curves.area_above(time_s, value, 1.0) == pytest.approx(2.5)


def test_a_curve_on_the_threshold_is_not_above_it() -> None:
    time_s, flat = np.array([0.0, 10.0]), np.full(2, LIQUIDUS_C)
    assert curves.time_above(time_s, flat, LIQUIDUS_C) == 0.0
    assert curves.first_reach(time_s, flat, LIQUIDUS_C) == 0.0


def test_a_curve_that_never_gets_there_has_no_crossing() -> None:
    time_s, value = np.array([0.0, 10.0]), np.array([25.0, 200.0])
    assert curves.first_reach(time_s, value, LIQUIDUS_C) is None
    assert curves.time_above(time_s, value, LIQUIDUS_C) == 0.0


@given(steps, st.floats(-5.0, 5.0))
def test_a_ramp_has_its_slope_everywhere(gaps: list[float], slope: float) -> None:
    time_s = irregular(gaps, 30.0)
    _, rates = curves.slopes(time_s, 25.0 + slope * time_s, 10.0)
    assert rates.size > 0
    assert rates == pytest.approx(slope, abs=1e-9)


def test_a_sine_loses_what_the_window_takes() -> None:
    """Least squares over -h..h on sin(w t): slope 3 (sin x - x cos x) / x^3 of w, x = w h."""
    w, half_s = 2 * math.pi / 60.0, 5.0
    time_s = np.arange(0.0, 120.0, 0.25)
    x = w * half_s
    expected = w * 3 * (math.sin(x) - x * math.cos(x)) / x**3
    _, rates = curves.slopes(time_s, np.sin(w * time_s), 2 * half_s)
    assert rates.max() == pytest.approx(expected, rel=0.003)


def test_noise_in_a_slope_is_as_least_squares_says() -> None:
    """sd of a least-squares slope: sigma / (step sqrt(sum of k^2)), k = -20..20."""
    noise = np.random.default_rng(7).normal(0.0, 0.25, 40_000)
    time_s = 0.25 * np.arange(noise.size)
    _, rates = curves.slopes(time_s, 1.5 * time_s + noise, 10.0)
    assert rates.mean() == pytest.approx(1.5, abs=0.001)
    assert rates.std() == pytest.approx(0.25 / (0.25 * math.sqrt(5740)), rel=0.05)


def test_a_curve_shorter_than_the_window_has_no_slope() -> None:
    centres, rates = curves.slopes(np.array([0.0, 9.9]), np.array([25.0, 30.0]), 10.0)
    assert centres.size == rates.size == 0


def test_a_step_between_falling_lines_is_found_where_it_is() -> None:
    time_s = np.arange(0.0, 100.0, 0.5)
    value = np.interp(time_s, [0, 50, 60, 99.5], [200, 195, 165, 161])
    curve = curves.curve(time_s, value, 10.0)
    rate, at_s = curve.steepest(0.0, 100.0, -1)
    assert rate == pytest.approx(3.0, rel=1e-6)
    assert at_s == pytest.approx(55.0)
    assert curve.steepest(200.0, 300.0, -1) is None


@pytest.mark.parametrize(
    ("time_s", "board_c"),
    [
        ([0.0], [25.0]),
        ([0.0, 1.0], [25.0]),
        ([0.0, 0.0], [25.0, 26.0]),
        ([1.0, 0.0], [25.0, 26.0]),
        ([0.0, 1.0], [25.0, math.nan]),
        ([0.0, math.nan], [25.0, 26.0]),
    ],
)
def test_what_is_no_curve_is_refused(time_s: list[float], board_c: list[float]) -> None:
    with pytest.raises(ValueError, match="a curve"):
        curves.curve(np.array(time_s), np.array(board_c), 10.0)


def test_a_record_that_stops_in_the_noise_below_its_highest_may_still_rise() -> None:
    time_s = np.arange(0.0, 60.0, 0.25)
    cut = curves.curve(time_s, 24.0 + 0.25 * (np.arange(time_s.size) % 2), 10.0)
    assert cut.still_rises
    fallen = curves.curve(time_s, 40.0 - np.abs(time_s - 50.0), 10.0)
    assert not fallen.still_rises
