"""A cut-out's rating: between what a plain run reaches and the last chance."""

from dataclasses import replace

import pytest

from cut_outs_made import tried
from heatsim import trials
from heatwright.faulting import campaign, cut_out
from heatwright.faulting.campaign import Wanted


def test_a_rating_lies_between_a_plain_run_and_the_last_chance():
    room = cut_out.Room("air", 231.2, 251.0)
    assert room.rating_c == 240.0
    assert replace(room, highest_c=239.0).rating_c == 235.0
    assert replace(room, highest_c=992.0).rating_c == 245.0
    assert replace(room, highest_c=234.0).rating_c is None


def test_the_latest_moment_counts_the_rise_after_the_heat_is_off(soak):
    passed = []
    plant = trials._rig(soak, 0).plant
    while plant.temperatures()["board"] < cut_out.LIMIT_C:
        passed.append((_copied(plant), [plant.temperatures()["board"]]))
        plant.step(2.0, 1.0)
    last_c = cut_out._latest(passed)[0]
    assert 200.0 < last_c < cut_out.LIMIT_C - 5.0


def _copied(plant):
    twin = type(plant)(plant.params)
    twin.state = plant.state
    return twin


def test_a_few_sources_show_less_than_there_is():
    assert cut_out._beyond([200.0, 204.0, 202.0], 1) == 206.0
    assert cut_out._beyond([200.0, 204.0, 202.0], -1) == 198.0
    assert cut_out._beyond([200.0], 1) == 200.0
    # an outlier is the worst by itself
    assert cut_out._beyond([200.0] * 20 + [300.0], 1) == 300.0


@pytest.mark.campaign
def test_what_is_advised_holds_on_sources_that_the_advice_never_saw(counted):
    setting = campaign.setting_of(Wanted(), ("toaster", "sensor"))
    rooms = cut_out.rooms([setting])
    assert sum(room.rating_c is not None for room in rooms) >= 3
    for seed in range(2001, 2001 + counted(100)):
        for one in tried(setting, rooms, seed):
            assert one.spare_k > 0.0, (seed, one)
            assert one.board_c < cut_out.LIMIT_C, (seed, one)
