"""What the coach says over whole runs: twelve words, no dithering, nothing a hand can't do."""

from itertools import pairwise

import pytest

from coaching_made import BY_HAND, OF_THE_PASTE, PASTE, can_meet, coached
from heatwright import sentences
from heatwright.coaching.advice import Advice, Steady
from heatwright.coaching.knob import OFF, Hand, settings_of
from heatwright.coaching.rehearsal import Rehearsed, source_of_seed
from heatwright.documents import load_source

SEEDS = (0, 1, 5)


@pytest.fixture(scope="module", params=BY_HAND)
def runs(request: pytest.FixtureRequest) -> list[Rehearsed]:
    params = load_source(request.param).plant_params()
    run = coached(request.param)
    return [run(source_of_seed(params, seed), seed) for seed in SEEDS]


def test_said_sentences_have_twelve_words_at_most(runs):
    said = [advice.text for run in runs for advice in run.advice]
    assert said
    assert all(len(text.split()) <= 12 for text in said), said


def test_every_sentence_of_a_run_has_twelve_words_at_most():
    around = ("CURE", "CAUTION", "BEFOREHAND", "NOT_BY", "HAS_", "STATUS", "KEYS")
    after = (
        "COACH_TYPE",
        "COACH_NO_SENSOR",
        "COACH_INTERRUPTED",
        "COACH_PAUSE",
        "COACH_BEAD_OFF",
        "COACH_LEARN",
    )
    spoken = {
        name: text
        for name, text in vars(sentences).items()
        if name.startswith("COACH_") and isinstance(text, str) and name not in after
        if not any(part in name for part in around)
    }
    assert len(spoken) > 25
    assert [name for name, text in spoken.items() if len(text.split()) > 12] == []


def test_no_more_than_one_change_in_ten_seconds_but_for_danger(runs):
    for run in runs:
        for before, after in pairwise(run.advice):
            assert after.is_danger or after.at_s - before.at_s >= 10.0, (before, after)


def test_the_knob_is_not_taken_back_within_five_seconds(runs):
    for run in runs:
        turns = [one for one in run.advice if one.kind == "knob"]
        assert all(b.at_s - a.at_s >= 5.0 for a, b in pairwise(turns))


def test_the_melt_comes_before_the_lift_and_the_end_last(runs):
    for run in runs:
        kinds = [one.kind for one in run.advice]
        first = kinds.index("lift") if "lift" in kinds else kinds.index("too_hot")
        assert kinds[0] == "knob"
        assert kinds.index("ready") < first
        assert kinds[-1] == "done"


def test_a_countdown_never_counts_up(runs):
    for run in runs:
        counts = [one.text for one in run.advice if one.kind == "countdown"]
        assert counts == sorted(counts, reverse=True)


def test_the_board_melts_and_keeps_below_the_window_s_end(runs):
    window = PASTE.window.peak_c
    for run in runs:
        assert window.low - 5.0 <= run.board_c.max() <= window.high + 5.0


@pytest.mark.parametrize("source", BY_HAND)
def test_each_source_as_shipped_can_meet_every_window_of_the_paste(source):
    assert can_meet(source) == OF_THE_PASTE


def test_steady_says_nothing_twice_and_danger_at_once():
    steady = Steady()
    assert steady.say(Advice(0.0, "knob", "Turn the knob to 9.", 9))
    assert steady.say(Advice(20.0, "knob", "Turn the knob to 9.", 9)) is None
    assert steady.say(Advice(21.0, "hold", "Hold."))
    assert steady.say(Advice(25.0, "knob", "Turn the knob to 3.", 3)) is None
    assert steady.say(Advice(25.0, "lift", "Lift the board off now."))


@pytest.mark.parametrize(
    ("knob", "count", "top"),
    [("levels", 10, "9."), ("low_medium_high", 4, "high."), ("degrees", 2, "500 °C.")],
)
def test_each_knob_is_spoken_of_in_its_own_words(knob, count, top):
    source = load_source("sand").model_copy(update={"knob": knob})
    settings = settings_of(source, PASTE)
    assert len(settings) == count
    assert settings[-1].text == f"Turn the knob to {top}"
    assert (settings[OFF].duty, settings[-1].duty) == (0.0, 1.0)


def test_a_gun_is_a_matter_of_distance_and_of_how_wide_it_circles():
    hand = Hand(load_source("hot-air"), PASTE)
    near, far = hand.settings[-1], hand.settings[1]
    assert near.door == 0.0
    assert "10 mm" in near.text
    assert "small circles" in near.text
    # the file's own 20 mm and wide circles, against 10 mm and none of them off the board
    own = next(one for one in hand.settings if "20 mm" in one.text)
    assert 1.0 - own.door == pytest.approx(0.9 * (1 + 10 / 150) / (1 + 20 / 150), abs=1e-3)
    assert 0.3 < far.door < 0.7
    assert "200 mm" in far.text
    assert hand.effect(3, True) == far, "pulled back before it goes away"
