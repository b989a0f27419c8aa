"""A push that has been there all along is the mains'; one that moves is not."""

from heatcore.drift import FINE, MILLE_MAX, Drift
from heatcore.limits import (
    DRIFT_AFTER_BLOCKS,
    DRIFT_BLOCKS,
    DRIFT_MILLE,
    DRIFT_SETTLE_BLOCKS,
)
from heatcore.numbers import Ratio

TRIP_MK = 4_000


def seen(*pushes):
    """A run of (push in mK, blocks)."""
    drift = Drift(Ratio())
    for push_mk, blocks in pushes:
        for _ in range(blocks):
            drift.see(push_mk, TRIP_MK)
    return drift


def test_what_is_there_all_along_has_not_moved():
    for push_mk in (3_900, -3_900):
        drift = seen((push_mk, 200))
        assert abs(drift.mille) <= 1
        assert drift.holds()


def test_how_far_it_may_move():
    for sign in (1, -1):
        for mille, held in ((DRIFT_MILLE, True), (DRIFT_MILLE + 1, False)):
            drift = seen((0, DRIFT_AFTER_BLOCKS), (sign * mille * TRIP_MK // 1000, 1))
            assert drift.mille == sign * mille
            assert drift.holds() is held


def test_at_first_nothing_is_known_to_hold_it_against():
    assert seen((0, DRIFT_AFTER_BLOCKS - 1), (TRIP_MK, 1)).mille == 0
    assert seen((0, DRIFT_AFTER_BLOCKS), (TRIP_MK, 1)).mille == 1000


def test_the_run_until_now_is_a_mean_that_forgets():
    drift = seen((0, 20), (TRIP_MK, 20))
    assert abs(drift._mean / FINE - 500) <= 1
    # beyond so many blocks each new one counts the same
    drift = seen((0, DRIFT_BLOCKS + 40), (TRIP_MK, 1))
    assert abs(drift._mean / FINE - 1000 / DRIFT_BLOCKS) <= 1
    assert seen((0, 40), (TRIP_MK, 1)).mille > seen((0, 40), (TRIP_MK, 30)).mille


def test_after_a_gap_it_builds_up_anew_and_the_run_before_counts():
    drift = seen((2_000, 60))
    drift.restart()
    assert drift.mille == 0
    for _ in range(DRIFT_SETTLE_BLOCKS):
        drift.see(0, TRIP_MK)
        assert drift.mille == 0
    drift.see(0, TRIP_MK)
    assert drift.mille == -500


def test_a_share_of_what_trips_where_the_plan_stands():
    drift = seen((2_000, 60))
    drift.see(8_000, 4 * TRIP_MK)
    assert abs(drift.mille) <= 1


def test_more_is_never_a_matter_of_degree():
    drift = Drift(Ratio())
    for _ in range(DRIFT_AFTER_BLOCKS):
        drift.see(0, 0)
    drift.see(100_000, 0)
    assert drift.mille == MILLE_MAX
    drift = seen((0, 40), (-100 * TRIP_MK, 1))
    assert drift.mille == -MILLE_MAX
