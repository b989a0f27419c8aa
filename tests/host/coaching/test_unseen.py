"""Where no bead is on the board, the melt is what tells: it is a fixed point for the hand too."""

import math
from itertools import pairwise

import pytest

from coaching_made import AIM_C, PASTE
from heatwright.coaching.advisor import Advisor, Seen
from heatwright.coaching.coach import Coach
from heatwright.coaching.rehearsal import eyes_of_seed, person_of_seed, rehearse, source_of_seed
from heatwright.coaching.timed import PATIENCE, Timed, timed_plan
from heatwright.documents import load_source

# Seeds 1 to 3: sources up to 15 % from their file.
SEEDS = (1, 2, 3)


def run(coach: Coach, source: str, seed: int, reads: str = "sensor", **how):
    params = source_of_seed(load_source(source).plant_params(), seed)
    return rehearse(coach, params, person_of_seed(seed), seed, reads, **how)


@pytest.mark.parametrize("source", ["sand", "hot-plate"])
@pytest.mark.parametrize("seed", SEEDS)
def test_with_a_bead_off_the_board_the_mark_brings_the_peak_into_its_window(source, seed):
    coach = Advisor(load_source(source), PASTE, "sensor")
    seen = run(coach, source, seed, eyes=eyes_of_seed(seed, PASTE))
    assert PASTE.window.peak_c.low <= seen.board_c.max() <= PASTE.window.peak_c.high


@pytest.mark.parametrize("seed", SEEDS)
def test_without_a_mark_it_is_called_off_before_it_may_be_far_too_hot(seed):
    sand = load_source("sand")
    blind = run(Advisor(sand, PASTE, "sensor"), "sand", seed)
    assert any(one.kind in ("lift", "too_hot") for one in blind.advice)
    # the call's own hand and what it still climbs come on top
    assert blind.board_c.max() <= PASTE.window.peak_c.high + 16.0


def test_a_mark_does_not_move_a_coach_whose_bead_is_on_the_board():
    coach = Advisor(load_source("sand"), PASTE)
    for now_s in range(300):
        coach.tell(Seen(float(now_s), 25.0 + 0.5 * now_s))
    before_c = coach.board_c
    coach.mark(299.0)
    assert coach.board_c == before_c


@pytest.mark.parametrize("seed", SEEDS)
def test_by_the_clock_a_mark_re_times_what_is_left(seed):
    hot_plate = load_source("hot-plate")
    plan = timed_plan(hot_plate, PASTE, PATIENCE)

    def peak_off_k(eyes):
        coach = Timed(hot_plate, PASTE, plan)
        seen = run(coach, "hot-plate", seed, read_every_s=None, eyes=eyes)
        return abs(float(seen.board_c.max()) - AIM_C)

    assert peak_off_k(eyes_of_seed(seed, PASTE)) <= 12.0


def test_an_early_mark_makes_the_pending_turn_at_once_and_keeps_its_ten_seconds():
    hot_plate = load_source("hot-plate")
    plan = timed_plan(hot_plate, PASTE)
    turn = [one for one in plan.advice if one.kind == "knob" and one.at_s < plan.melts_at_s][-1]
    coach, said = Timed(hot_plate, PASTE, plan), []
    for now_s in range(800):
        if now_s == round(turn.at_s) - 20:
            coach.mark(float(now_s))
        said += [one] if (one := coach.tell(Seen(float(now_s), None))) else []
    turns = [one for one in said if one.text == turn.text]
    assert turns
    assert turns[0].at_s < turn.at_s
    assert all(b.is_danger or b.at_s - a.at_s >= 10.0 for a, b in pairwise(said))
    assert said[-1].kind == "done"


def test_unmarked_it_asks_and_waits_and_then_gives_up():
    sand = load_source("sand")
    plan = timed_plan(sand, PASTE, PATIENCE)
    due_s = min(one.at_s for one in plan.advice if one.kind == "ready")
    coach, said = Timed(sand, PASTE, plan), []
    for now_s in range(1000):
        said += [one] if (one := coach.tell(Seen(float(now_s), None))) else []
    lift_s = next(one.at_s for one in said if one.kind == "lift")
    asked = [one for one in said if one.kind == "melt" and one.at_s > due_s]
    assert len(asked) >= 2
    assert all(b.text != a.text for a, b in pairwise(asked))
    assert math.isclose(lift_s, plan.melts_at_s * (1 + PATIENCE), rel_tol=0.1)


def test_who_types_is_called_twice_and_then_taken_to_have_lifted():
    coach, said = Advisor(load_source("hot-plate"), PASTE, silent_s=60.0), []
    for now_s in range(460):
        reading_c = min(25.0 + 0.6 * now_s, 240.0) if now_s % 25 == 0 and now_s < 370 else None
        said += [one] if (one := coach.tell(Seen(float(now_s), reading_c))) else []
    calls = [one.kind for one in said if one.kind in ("lift", "too_hot")]
    assert 1 <= len(calls) <= 3
    assert any(one.kind == "off" for one in said)


def told(coach, until_s, reading_c=lambda now_s: None, keys=None, from_s=0):
    """What a coach says from second to second; ``keys`` are pressed in theirs."""
    said = []
    for now_s in range(from_s, until_s):
        if press := (keys or {}).get(now_s):
            press(float(now_s))
        said += [one] if (one := coach.tell(Seen(float(now_s), reading_c(now_s)))) else []
    return said


def knob_at(said, now_s):
    return [one.setting for one in said if one.setting is not None and one.at_s <= now_s][-1:]


@pytest.mark.parametrize("source", ["sand", "hot-plate"])
def test_by_the_clock_a_mark_that_is_taken_back_leaves_the_plan_as_it_was(source):
    """What was called by a mistaken mark comes again in its own time, and the knob goes back."""
    loaded = load_source(source)
    plan = timed_plan(loaded, PASTE, PATIENCE)
    plain = told(Timed(loaded, PASTE, plan), 1000)
    early_s = round(plan.melts_at_s) - 60
    coach = Timed(loaded, PASTE, plan)
    keys = {early_s: coach.mark, early_s + 5: lambda now_s: coach.unmark()}
    back = told(coach, 1000, keys=keys)

    def lifted_s(said):
        return next(one.at_s for one in said if one.kind == "lift")

    wrong = Timed(loaded, PASTE, plan)
    assert lifted_s(told(wrong, 1000, keys={early_s: wrong.mark})) < lifted_s(plain) - 30.0
    assert abs(lifted_s(back) - lifted_s(plain)) <= 10.0
    # where the knob is, 20 s after the mark was taken back and from then on
    for now_s in range(early_s + 25, 1000):
        assert knob_at(back, now_s) == knob_at(plain, now_s), now_s


def test_a_mark_taken_back_after_the_lift_puts_no_board_back():
    source = load_source("hot-plate")
    plan = timed_plan(source, PASTE, PATIENCE)
    coach = Timed(source, PASTE, plan)
    told(coach, 1000, keys={round(plan.melts_at_s): coach.mark})
    assert coach.is_lifted
    coach.unmark()
    assert (coach.is_lifted, coach.is_done) == (True, True)


def warming(now_s):
    return min(25.0 + 0.6 * now_s, 200.0)


def test_a_bead_off_the_board_forgets_a_mark_that_is_taken_back():
    sand = load_source("sand")
    plain, back = Advisor(sand, PASTE, "sensor"), Advisor(sand, PASTE, "sensor")
    told(plain, 260, warming)
    told(back, 200, warming)
    before_c = back.board_c
    back.mark(199.0)
    assert back.board_c > before_c + 20.0
    told(back, 220, warming, from_s=200)
    back.unmark()
    told(back, 260, warming, from_s=220)
    assert math.isclose(back.board_c, plain.board_c, abs_tol=0.5)


def test_a_second_mark_is_no_second_fixed_point():
    """The last joint melts later, and hotter, than what the first mark told of."""
    once, twice = (Advisor(load_source("sand"), PASTE, "sensor") for _ in range(2))
    for coach, marks_s in ((once, (300,)), (twice, (300, 312))):
        told(coach, 320, warming, dict.fromkeys(marks_s, coach.mark))
    assert once.board_c == twice.board_c
