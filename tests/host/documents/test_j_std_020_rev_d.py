"""J-STD-020 revision D (2008): Tables 4-1, 4-2 and 5-2, and the floor life of J-STD-020/033.

Confirmed in a public copy of revision D, except the cell layout of Table 4-1, which is from memory.
Many component sheets print revision C's figures under D's name: the revision is pinned here.
"""

import math

import pytest

from heatwright.documents.jstd020 import (
    FLOOR_LIFE_H,
    LEAD_FREE,
    TIN_LEAD,
    PartLimits,
    classification_c,
)


@pytest.mark.parametrize(
    ("thickness_mm", "by_volume"),
    [
        (1.0, (260, 260, 260)),
        (1.59, (260, 260, 260)),
        (1.6, (260, 250, 245)),
        (2.5, (260, 250, 245)),
        (2.51, (250, 245, 245)),
        (6.0, (250, 245, 245)),
    ],
)
def test_lead_free_classification_temperature_rev_d_table_4_2(thickness_mm, by_volume):
    found = [classification_c("lead_free", thickness_mm, v) for v in (349, 350, 2000, 2001)]
    assert found == [by_volume[0], by_volume[1], by_volume[1], by_volume[2]]


@pytest.mark.parametrize(
    ("thickness_mm", "volume_mm3", "right_c"),
    [(2.49, 349, 235), (2.49, 350, 220), (2.5, 349, 220), (2.5, 350, 220)],
)
def test_tin_lead_classification_temperature_table_4_1_from_memory(
    thickness_mm, volume_mm3, right_c
):
    assert classification_c("tin_lead", thickness_mm, volume_mm3) == right_c


def test_classification_profiles_rev_d_table_5_2():
    assert TIN_LEAD == (100, 150, 60, 120, 3, 183, 60, 150, 20, 6, 6 * 60)
    assert LEAD_FREE == (150, 200, 60, 120, 3, 217, 60, 150, 30, 6, 8 * 60)


def test_not_revision_c():
    # revision C: ts 60-180 s, tp 20-40 s for lead-free
    assert LEAD_FREE.soak_high_s == 120
    assert LEAD_FREE.near_peak_s == 30


def test_floor_life_j_std_020_033():
    assert {
        "1": math.inf,
        "2": 8760,
        "2a": 672,
        "3": 168,
        "4": 72,
        "5": 48,
        "5a": 24,
        "6": 0,
    } == FLOOR_LIFE_H


@pytest.mark.parametrize(
    ("peak_c", "above_255_s", "survives"),
    [
        (260.0, 30.0, True),
        (260.1, 30.0, False),
        (260.0, 30.1, False),
        (245.0, 0.0, True),
        (math.nan, 0.0, False),
    ],
)
def test_worked_predicate_of_rev_d(peak_c, above_255_s, survives):
    limits = PartLimits(260, 30, 3, 6, 480, "J-STD-020 revision D")
    assert limits.survives(peak_c, above_255_s) is survives
