"""A push that has been there all along is the mains'; one that moves is not."""

from heatcore.drift import FINE, MILLE, MILLE_MAX, Drift
from heatcore.limits import DRIFT_BEGIN_BLOCKS, DRIFT_SETTLE_BLOCKS, DRIFT_SMOOTH_BLOCKS
from heatcore.numbers import Ratio

TRIP_MK = 4_000


def seen(*pushes):
    """A run of (push in thousandths of the trip, blocks), from where the push has built up."""
    drift = Drift(Ratio())
    go_on(drift, (0, DRIFT_BEGIN_BLOCKS), *pushes)
    return drift


def go_on(drift, *pushes):
    for mille, blocks in pushes:
        for _ in range(blocks):
            drift.see(mille * TRIP_MK // 1000, TRIP_MK)


def test_what_is_there_all_along_has_not_moved():
    for mille in (975, -975):
        drift = seen((mille, 200))
        assert drift.mille == 0
        assert drift.holds()


def test_how_far_it_may_move_up_and_down():
    for first in (0, 400, -400):
        for sign in (1, -1):
            for moved, held in ((MILLE, True), (MILLE + 2, False)):
                drift = seen((first, 20), (first + sign * moved, 60))
                assert abs(drift.mille - sign * moved) <= 1, (first, sign)
                assert drift.holds() is held


def test_the_limits_themselves():
    drift = Drift(Ratio())
    for mille in (-MILLE - 1, -MILLE, MILLE, MILLE + 1):
        drift.mille = mille
        assert drift.holds() is (abs(mille) <= MILLE)


def test_it_is_held_against_the_furthest_of_the_run():
    drift = seen((500, 20), (-300, 40), (0, 40))
    assert abs(drift.mille + 500) <= 1
    go_on(drift, (300, 40))
    assert abs(drift.mille - 600) <= 1
    # as far from both: told as risen
    go_on(drift, (100, 60))
    assert abs(drift.mille - 400) <= 1


def test_one_block_moves_it_by_a_share():
    drift = seen((0, 20), (800, 1))
    assert drift.mille == 800 // DRIFT_SMOOTH_BLOCKS
    assert drift._smooth == 800 * FINE // DRIFT_SMOOTH_BLOCKS


def test_until_the_push_has_built_up_nothing_counts():
    drift = Drift(Ratio())
    go_on(drift, (900, DRIFT_BEGIN_BLOCKS), (0, 1))
    assert drift.mille == 0
    go_on(drift, (0, 40))
    assert drift.mille == 0
    drift = Drift(Ratio())
    go_on(drift, (900, DRIFT_BEGIN_BLOCKS + 1), (0, 60))
    assert abs(drift.mille + 900) <= 1


def test_after_a_gap_it_builds_up_anew_and_the_run_before_counts():
    drift = seen((500, 60), (900, 1))
    drift.restart()
    assert drift.mille == 0
    go_on(drift, (-900, DRIFT_SETTLE_BLOCKS))
    assert drift.mille == 0
    # begun anew: no part of what was before the gap is in it
    go_on(drift, (0, 1))
    assert drift.mille == -600


def test_a_gap_at_the_start_makes_it_begin_no_sooner():
    drift = Drift(Ratio())
    drift.restart()
    go_on(drift, (900, DRIFT_BEGIN_BLOCKS), (0, 40))
    assert drift.mille == 0


def test_a_share_of_what_trips_where_the_plan_stands():
    drift = seen((500, 60))
    drift.see(8_000, 4 * TRIP_MK)
    assert drift.mille == 0


def test_more_is_never_a_matter_of_degree():
    drift = Drift(Ratio())
    for _ in range(DRIFT_BEGIN_BLOCKS + 1):
        drift.see(0, 0)
    for _ in range(80):
        drift.see(100_000, 0)
    assert drift.mille == MILLE_MAX - 1
    drift = seen((0, 1), (-100_000, 80))
    assert drift.mille == -MILLE_MAX
