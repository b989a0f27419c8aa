"""Measures of made curves: values, margins, status on both sides of every window."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from heatwright.judging.measures import measure, unmeasured
from heatwright.judging.windows import Measure
from records_made import GOOD, corners, paste

OWN = ("peak", "time_above_liquidus", "soak", "heating_rate", "cooling_rate", "time_to_peak")
J_STD = ("part_time_above_liquidus", "part_heating_rate", "part_cooling_rate")


def measured(
    points: tuple[tuple[float, float], ...] = GOOD, **window: object
) -> dict[str, Measure]:
    return {m.name: m for m in measure(*corners(points), paste(**window))}


def test_a_good_run_has_these_values() -> None:
    found = measured()
    assert tuple(found) == OWN + J_STD
    assert all(m.status == "pass" for m in found.values())
    # from the corners: 217 is reached 25.5 s after 200 and left 3 C below 220 at 1.5 C/s
    assert found["time_above_liquidus"].value == pytest.approx((270 - 240.5) + (25 + 2))
    assert found["peak"].value == 242.0
    assert found["peak"].at_s == 270.0
    assert found["soak"].value == pytest.approx(90.0)
    assert found["heating_rate"].value == pytest.approx(1.0)
    assert found["cooling_rate"].value == pytest.approx(1.5)
    assert found["time_to_peak"].value == pytest.approx(270.0)
    assert found["part_heating_rate"].value == pytest.approx(0.88, abs=0.02)


def test_margins_are_the_distance_to_the_nearer_end() -> None:
    found = measured()
    assert found["peak"].margin == pytest.approx(7.0)
    assert found["soak"].margin == pytest.approx(30.0)
    assert found["time_to_peak"].margin == pytest.approx(480.0 - 270.0)
    assert measured(peak_c=(225.0, 240.0))["peak"].margin == pytest.approx(-2.0)


SIDES = [
    ("peak", "peak_c", 242.0, "fail", "fail"),
    ("time_above_liquidus", "above_liquidus_s", 56.5, "fail", "warn"),
    ("soak", "soak_s", 90.0, "warn", "warn"),
    ("heating_rate", "up_c_per_s", 1.0, "warn", "warn"),
    ("cooling_rate", "down_c_per_s", 1.5, "warn", "warn"),
    ("time_to_peak", "to_peak_s", 270.0, "warn", "warn"),
]


@pytest.mark.parametrize(("name", "key", "value", "below", "above"), SIDES)
def test_each_window_judges_on_both_sides(name, key, value, below, above) -> None:
    """The window is moved past the value, a hair this side and that side of each end."""
    hair = 1e-6 * value

    def status(low: float, high: float) -> str:
        return measured(**{key: (low, high)})[name].status

    assert status(value - hair, value + hair) == "pass"
    assert status(value + hair, value + 5) == below
    assert status(value - 1, value - hair) == above


def test_cooling_faster_than_ever_allowed_fails_whatever_the_window() -> None:
    found = measured(down_c_per_s=(0.1, 1.2), down_limit_c_per_s=1.4)
    assert found["cooling_rate"].status == "fail"
    assert (
        measured(down_c_per_s=(0.1, 1.2), down_limit_c_per_s=1.6)["cooling_rate"].status == "warn"
    )


def test_without_a_window_of_its_own_the_time_to_peak_has_the_standards() -> None:
    assert measured()["time_to_peak"].source.startswith("IPC/JEDEC J-STD-020 revision D")
    assert measured(to_peak_s=(100.0, 400.0))["time_to_peak"].source.startswith("SAC305")


def test_a_warm_start_counts_from_the_start() -> None:
    assert measured(((0, 60), (200, 240), (300, 60)))["time_to_peak"].value == 200.0


def test_a_soak_that_dips_counts_only_what_it_was() -> None:
    points = ((0, 100), (50, 150), (80, 180), (110, 150), (120, 140), (130, 150), (180, 200))
    found = measured((*points, (220, 240), (400, 60)))
    assert found["soak"].value == pytest.approx(60.0 + 50.0)


def test_molten_twice_counts_both_times() -> None:
    points = ((0, 25), (192, 217), (217, 242), (242, 217), (252, 207), (262, 217), (282, 237))
    found = measured((*points, (302, 217), (500, 50)))
    assert found["time_above_liquidus"].value == pytest.approx(50.0 + 40.0)


def test_a_run_that_never_melts_fails_and_has_no_rates_above_liquidus() -> None:
    found = measured(((0, 25), (200, 198), (400, 50)))
    assert found["peak"].status == found["time_above_liquidus"].status == "fail"
    assert found["time_above_liquidus"].value == 0.0
    assert found["time_above_liquidus"].at_s is None
    assert "part_heating_rate" not in found
    assert found["part_time_above_liquidus"].status == "pass"


def test_a_record_that_stops_hot_leaves_open_what_may_still_grow() -> None:
    found = measured(GOOD[:5])
    for name in ("peak", "time_above_liquidus", "soak", "time_to_peak"):
        assert found[name].status == "unknown", name
    stopped = measured((*GOOD[:5], (280, 230)))
    assert stopped["peak"].status == "pass"
    assert stopped["time_above_liquidus"].status == "unknown"


def test_what_is_already_too_much_fails_though_the_record_stops_there() -> None:
    assert measured(((0, 25), (200, 255)))["peak"].status == "fail"


def test_a_record_too_short_for_a_slope_says_so() -> None:
    found = measured(((0, 25), (2, 30), (4, 25)))
    assert found["heating_rate"].value is None
    assert found["heating_rate"].status == found["cooling_rate"].status == "unknown"


def test_without_a_board_every_window_is_named_and_nothing_is_known() -> None:
    found = unmeasured(paste())
    assert tuple(m.name for m in found) == OWN
    assert all(m.status == "unknown" and m.value is None and m.margin is None for m in found)
    assert (found[0].low, found[0].high) == (235.0, 250.0)
    assert [m.source for m in found] == [measured()[name].source for name in OWN]


@given(st.floats(-1000, 1000), st.integers(1, 5))
def test_shifting_and_splitting_steps_changes_nothing(shift_s: float, parts: int) -> None:
    time_s, board_c = corners(GOOD, step_s=1.0)
    finer_s = np.interp(np.arange(0, time_s.size - 1 + 1e-9, 1 / parts), range(time_s.size), time_s)
    finer_c = np.interp(finer_s, time_s, board_c)
    coarse = measure(time_s, board_c, paste())
    fine = measure(finer_s + shift_s, finer_c, paste())
    for one, other in zip(coarse, fine, strict=True):
        assert other.status == one.status
        assert other.value == pytest.approx(one.value, rel=1e-6), one.name
