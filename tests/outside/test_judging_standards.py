"""Judging against figures published outside this project; each source stands beside its check."""

from __future__ import annotations

import math

import numpy as np
import pytest

from heatwright.documents import load_paste
from heatwright.documents.jstd020 import (
    LEAD_FREE,
    NEAR_PEAK_K,
    TIN_LEAD,
    PartLimits,
    classification_c,
)
from heatwright.judging import curves, packages
from heatwright.judging.measures import RATE_WINDOW_S, measure
from heatwright.judging.windows import Measure
from records_made import GOOD, corners

# 60 s above liquidus, 25 K over it: the shapes of the published check of the heating factor,
# the integral of T - TL over T > TL (mean excess of a half-sine 2/pi, of a parabola 2/3).
SPAN_S, EXCESS_K, LIQUIDUS_C = 60.0, 25.0, 217.0


@pytest.mark.parametrize(
    ("shape", "expected_k_s"),
    [
        (lambda x: 1 - np.abs(2 * x - 1), 750.0),
        (lambda x: np.sin(math.pi * x), 954.93),
        (lambda x: 4 * x * (1 - x), 1000.0),
    ],
)
def test_heating_factor_of_closed_forms(shape, expected_k_s: float) -> None:
    inside_s = np.arange(0.0, SPAN_S + 0.1, 0.25)
    above_c = LIQUIDUS_C + EXCESS_K * shape(inside_s / SPAN_S)
    time_s = np.concatenate([[0.0], 100.0 + inside_s, [260.0]])
    value_c = np.concatenate([[25.0], above_c, [25.0]])
    assert curves.area_above(time_s, value_c, LIQUIDUS_C) == pytest.approx(expected_k_s, rel=1e-4)
    assert curves.time_above(time_s, value_c, LIQUIDUS_C) == pytest.approx(SPAN_S)


def by_name(points: tuple[tuple[float, float], ...], table=LEAD_FREE) -> dict[str, Measure]:
    curve = curves.curve(*corners(points), RATE_WINDOW_S)
    return {m.name: m for m in packages.measures(curve, table)}


@pytest.mark.parametrize(
    ("table", "liquidus_c", "above_s", "to_peak_s"),
    [(TIN_LEAD, 183.0, 150.0, 360.0), (LEAD_FREE, 217.0, 150.0, 480.0)],
)
def test_j_std_020_rev_d_table_5_2_binds_by_its_upper_ends(
    table, liquidus_c: float, above_s: float, to_peak_s: float
) -> None:
    """IPC/JEDEC J-STD-020 revision D (2008), Table 5-2: TL, tL 60-150 s, 25 °C to peak."""

    def above_for(seconds: float) -> Measure:
        top = liquidus_c + 20.0
        points = ((0, 25), (200, liquidus_c), (210, top), (190 + seconds, top))
        return by_name((*points, (200 + seconds, liquidus_c), (500 + seconds, 30)), table)[
            "part_time_above_liquidus"
        ]

    assert above_for(149.0).status == "pass"
    assert above_for(151.0).status == "fail"
    # its lower end, 60 s, binds nobody: 45 s above liquidus is no fault
    assert above_for(45.0).status == "pass"
    assert above_for(45.0).value == pytest.approx(45.0, abs=0.3)
    assert above_for(45.0).high == above_s
    assert table.to_peak_max_s == to_peak_s


@pytest.mark.parametrize(
    ("up", "down", "failing"),
    [
        (2.9, 5.9, set()),
        (3.1, 5.9, {"part_heating_rate"}),
        (2.9, 6.1, {"part_cooling_rate"}),
    ],
)
def test_j_std_020_rev_d_highest_rates(up: float, down: float, failing: set[str]) -> None:
    """IPC/JEDEC J-STD-020 revision D (2008), Table 5-2: TL to Tp 3 °C/s, Tp to TL 6 °C/s."""
    top_s = 200 + 83 / up
    points = ((0, 25), (200, 167), (top_s, 250), (top_s + 10, 250), (top_s + 10 + 120 / down, 130))
    found = by_name(points)
    assert {m.name for m in found.values() if m.status == "fail"} == failing
    assert found["part_heating_rate"].value == pytest.approx(up, abs=0.01)
    assert found["part_cooling_rate"].value == pytest.approx(down, abs=0.01)
    assert "revision D" in found["part_heating_rate"].source


@pytest.mark.parametrize(
    ("peak_c", "top_s", "survives"),
    [(260.0, 19.9, True), (260.1, 15.0, False), (260.0, 20.1, False), (245.0, 90.0, True)],
)
def test_j_std_020_rev_d_worked_predicate(peak_c: float, top_s: float, survives: bool) -> None:
    """Revision D, Tc = 260 and tp = 30 s: peak at most 260 °C and at most 30 s above 255 °C.

    The curve rises and falls at 1 °C/s: from 255 to 260 °C and back takes 10 s besides the top.
    """
    tc_c = classification_c("lead_free", thickness_mm=1.0, volume_mm3=100.0)
    limits = PartLimits(tc_c, LEAD_FREE.near_peak_s, 3, 6, 480, "J-STD-020 revision D")
    up_s = peak_c - 25
    curve = corners(((0, 25), (up_s, peak_c), (up_s + top_s, peak_c), (2 * up_s + top_s, 25)), 0.1)
    near_s = curves.time_above(*curve, tc_c - NEAR_PEAK_K)
    assert limits.survives(float(curve[1].max()), near_s) == survives


def test_slow_to_the_peak_warns_at_8_minutes_lead_free_and_6_with_lead() -> None:
    """IPC/JEDEC J-STD-020 revision D (2008), Table 5-2: 25 °C to peak at most 8 and 6 min."""
    for name, most_s in (("sac305", 480.0), ("sn63pb37", 360.0)):
        for over_s, status in ((-1.0, "pass"), (1.0, "warn")):
            peak_s = most_s + over_s
            curve = corners(((0, 25), (peak_s, 240), (peak_s + 200, 40)), step_s=0.25)
            found = {m.name: m for m in measure(*curve, load_paste(name))}["time_to_peak"]
            assert (found.high, found.status) == (most_s, status)


@pytest.mark.parametrize(
    ("name", "peak_low_c", "peak_high_c", "counts_from_c"),
    [
        # common practice of the trade, no single source; the paste's data sheet wins
        ("sac305", 235, 250, 217),
        ("sn63pb37", 205, 225, 183),
        ("sn42bi58", 160, 185, 138.5),
    ],
)
def test_windows_of_the_shipped_pastes_judge_their_own_alloy(
    name: str, peak_low_c: float, peak_high_c: float, counts_from_c: float
) -> None:
    paste = load_paste(name)
    middle_c = (peak_low_c + peak_high_c) / 2
    scale = (middle_c - 25) / (242 - 25)
    time_s, value_c = corners(GOOD)
    found = {m.name: m for m in measure(time_s, 25 + scale * (value_c - 25), paste)}
    assert found["peak"].status == "pass"
    assert (found["peak"].low, found["peak"].high) == (peak_low_c, peak_high_c)
    assert paste.above_c == pytest.approx(counts_from_c, abs=0.5)
    assert "practice" in found["peak"].source
