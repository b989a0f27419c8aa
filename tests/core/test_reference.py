from array import array

from core.plans import document, make, plain
from heatcore import inputs
from heatcore.numbers import Ratio
from heatcore.reference import PREVIEW_MS, Curve, Reference
from heatcore.scheduler import Scheduler


def curve(t_ms, values):
    return Curve(array("i", t_ms), array("i", values), Ratio())


def test_straight_lines_between_knots():
    line = curve([0, 1_000, 3_000], [0, 100, -100])
    asked = (0, 500, 1_000, 2_000, 2_999, 3_000, 9_000)
    assert [line.at(t, 7) for t in asked] == [0, 50, 100, 0, -100, -100, -100]


def test_no_values_are_what_the_caller_says():
    assert curve([0, 1_000], []).at(500, 7) == 7


def test_several_knots_passed_at_once():
    assert curve([0, 10, 20, 30, 1_000], [0, 1, 2, 3, 973]).at(515, 0) == 488


def test_an_hour_long_line_stays_within_a_milli_degree_a_second():
    line = curve([0, 3_600_000], [25_000, 250_000])
    for t_ms in range(0, 3_600_001, 77_777):
        assert abs(line.at(t_ms, 0) - (25_000 + t_ms * 225_000 // 3_600_000)) <= 2


def following(doc, mc=25_000):
    plan = make(doc)
    schedule, reference = Scheduler(plan), Reference(plan, Ratio())
    given = inputs.Inputs()

    def go(seconds):
        for _ in range(seconds * 4):
            schedule.advance(250, given, mc)
            reference.update(schedule, 250, mc)
        return reference

    return go


def test_a_trajectory_is_followed_as_it_stands():
    go = following(document(waits=[]))
    assert go(30).y_mc == 87_500
    assert go(0).ff_duty == 5_500


def test_a_wait_holds_the_place_and_brings_its_own_duty():
    go = following(document())
    go(65)
    assert go(1).y_mc == 150_000
    assert go(0).ff_duty == 2_500


def test_a_setpoint_starts_at_the_reading_and_rises_no_faster_than_allowed():
    go = following(plain(y_mc=[25_000, 245_000, 245_000, 245_000, 245_000, 120_000]), mc=31_000)
    go(1)
    first = go(0).y_mc
    assert first == 31_000 + 3 * 750
    assert go(5).y_mc == first + 15_000


def test_a_setpoint_looks_ahead():
    go = following(plain())
    assert go(40).y_mc == 25_000 + (40_000 + PREVIEW_MS) * 125 // 60
    assert go(0).ff_duty == 0


def test_it_does_not_look_past_a_wait():
    go = following(plain(waits=[[60_000, "above", 200_000, 50_000, 3_000]]))
    assert go(58).y_mc == 150_000
    assert go(10).y_mc == 150_000
    assert go(0).ff_duty == 3_000


def test_it_falls_with_the_profile():
    go = following(
        plain(waits=[], y_mc=[250_000, 100_000, 100_000, 50_000, 50_000, 50_000]), mc=250_000
    )
    go(1)
    assert go(9).y_mc == 250_000 - (10_000 + PREVIEW_MS) * 150 // 60


def test_it_waits_for_a_first_reading():
    go = following(plain(), mc=inputs.NONE)
    assert go(5).y_mc == inputs.NONE
