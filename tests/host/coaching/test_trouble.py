"""Readings that can't be believed are said at once, in words, with what to do."""

from itertools import pairwise

import pytest

from coaching_made import PASTE
from heatwright import sentences
from heatwright.coaching.advisor import Advisor, Seen
from heatwright.coaching.watch import SILENT_S, Watch
from heatwright.documents import load_source


def rising(coach, until_s, from_c=25.0, rate=0.6, start_s=0):
    for now_s in range(start_s, until_s):
        coach.tell(Seen(float(now_s), from_c + rate * (now_s - start_s)))


@pytest.mark.parametrize(
    ("source", "said"),
    [("sand", sentences.COACH_JUMPED), ("hot-air", sentences.COACH_READS_AIR)],
)
def test_a_jump_is_said_at_once_in_the_source_s_words(source, said):
    coach = Advisor(load_source(source), PASTE)
    rising(coach, 60)
    advice = coach.tell(Seen(60.0, 25.0 + 60 * 0.6 + 12.0))
    assert advice is not None
    assert (advice.kind, advice.text) == ("sensor", said)


def test_a_rate_just_below_ten_degrees_a_second_is_no_jump():
    watch = Watch("jumped")
    assert watch.trouble(0.0, 100.0, False) is None
    assert watch.trouble(1.0, 109.9, False) is None
    assert watch.trouble(2.0, 120.1, False) == "jumped"


def test_no_new_reading_is_said_once_the_silence_is_long():
    coach = Advisor(load_source("sand"), PASTE)
    rising(coach, 60)
    said = {now_s: coach.tell(Seen(float(now_s), None)) for now_s in range(60, 75)}
    first = next(now_s for now_s, advice in said.items() if advice)
    assert said[first].text == sentences.COACH_STOPPED_GROWING
    assert 59 + SILENT_S < first <= 59 + SILENT_S + 2


def test_an_unplugged_sensor_is_said_at_once():
    coach = Advisor(load_source("hot-plate"), PASTE)
    rising(coach, 60)
    advice = coach.tell(Seen(60.0, None, is_unplugged=True))
    assert advice is not None
    assert advice.text == sentences.COACH_UNPLUGGED


def test_a_lost_sensor_stays_lost_until_it_reads_again():
    watch = Watch("jumped")
    assert watch.trouble(0.0, 100.0, False) is None
    assert watch.trouble(1.0, None, True) == sentences.COACH_UNPLUGGED
    quiet = [watch.trouble(float(now_s), None, False) for now_s in range(2, 30)]
    assert set(quiet) == {sentences.COACH_UNPLUGGED}
    assert watch.trouble(30.0, 101.0, False) is None


def test_a_sensor_that_was_never_there_is_said_too():
    coach = Advisor(load_source("hot-plate"), PASTE)
    advice = coach.tell(Seen(0.0, None, is_unplugged=True))
    assert advice is not None
    assert advice.text == sentences.COACH_UNPLUGGED


def test_blind_and_hot_the_board_goes_off():
    coach = Advisor(load_source("hot-plate"), PASTE)
    rising(coach, 330)
    said = [coach.tell(Seen(float(now_s), None)) for now_s in range(330, 360)]
    assert sentences.COACH_BLIND in [advice.text for advice in said if advice]


def test_a_board_that_stays_on_is_called_again_and_more_plainly():
    coach = Advisor(load_source("sand"), PASTE)
    said = [coach.tell(Seen(float(now_s), 25.0 + 0.6 * now_s)) for now_s in range(400)]
    calls = [(one.at_s, one.kind) for one in said if one and one.kind in ("lift", "too_hot")]
    kinds = [kind for _, kind in calls]
    assert kinds[0] == "lift"
    assert kinds.count("too_hot") >= 2
    assert kinds == sorted(kinds), "plainer, never milder"
    assert all(b - a >= 5.0 for (a, _), (b, _) in pairwise(calls))


def test_a_board_that_never_melts_is_given_up():
    coach = Advisor(load_source("hot-plate"), PASTE)
    said = [coach.tell(Seen(float(now_s), min(25.0 + 0.5 * now_s, 190.0))) for now_s in range(915)]
    assert sentences.COACH_NOT_REACHED in [advice.text for advice in said if advice]
