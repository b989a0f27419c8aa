"""Every shipped paste on every source as shipped, and a board with twice the usual face."""

import pytest

from coaching_made import BY_HAND, OF_THE_PASTE
from heatwright.coaching.advisor import Advisor
from heatwright.coaching.gun import air_c
from heatwright.coaching.outfit import outfit_of
from heatwright.coaching.rehearsal import person_of_seed, rehearse
from heatwright.documents import load_paste, load_source
from heatwright.judging.measures import measure

PASTES = ("sac305", "sac0307", "sn63pb37", "sn62pb36ag2", "sn42bi58", "sn42bi576ag04")
LARGE = """
name = "Large"
length_mm = 100.0
width_mm = 80.0
thickness_mm = 1.6
layers = 4
copper_percent = 60.0
"""


def missed(source, paste):
    """Windows of the paste that the nominal source's board did not keep."""
    params = source.plant_params()
    run = rehearse(Advisor(source, paste), params, person_of_seed(0), 0)
    found = measure(run.times_s, run.board_c, paste)
    return [one for one in found if one.name in OF_THE_PASTE and one.status != "pass"]


@pytest.mark.parametrize("source", BY_HAND)
@pytest.mark.parametrize("paste", PASTES)
def test_each_paste_keeps_its_windows(source, paste):
    assert missed(load_source(source), load_paste(paste)) == []


@pytest.mark.parametrize("source", BY_HAND)
def test_a_large_board_keeps_them_too(source, tmp_path):
    board = tmp_path / "large.toml"
    board.write_text(LARGE)
    outfit = outfit_of(source, "sac305", str(board), "board_sensor")
    assert missed(outfit.source, outfit.paste) == []


@pytest.mark.parametrize(
    ("paste", "low_c", "high_c"), [("sac305", 350, 400), ("sn63pb37", 300, 350)]
)
def test_a_gun_s_air_is_what_is_common_practice(paste, low_c, high_c):
    # common practice of the trade, no single source
    assert low_c <= air_c(load_paste(paste)) <= high_c
