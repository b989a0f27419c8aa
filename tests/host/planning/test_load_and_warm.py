"""What boards take in heat; a source still warm."""

from dataclasses import replace

import numpy as np
import pytest

from heatwright.documents import Board, load_paste, load_source
from heatwright.documents.bench import load_bench
from heatwright.documents.load import differs, for_board, known_load, load_of
from heatwright.planning import warm
from heatwright.planning.model import BOARD, Model
from heatwright.planning.report import loop_warnings
from heatwright.planning.wanted import Wanted

BARE = Board(name="bare", length_mm=100.0, width_mm=100.0, thickness_mm=1.6, copper_percent=0.0)
MODEL = Model(load_source("drawer").plant_params())
SENSOR = 7


def test_fr4_of_1_6_mm_takes_some_3_kilojoule_a_square_metre():
    # 1.6 mm of FR-4 is about 2800 to 3250 J/m2K (1850 kg/m3, 950 to 1100 J/kgK)
    assert 2_800 <= 100 * load_of(BARE, ()).board_j_k <= 3_250


def test_copper_adds_what_it_takes_more_than_the_laminate_it_replaces():
    plated = BARE.model_copy(update={"copper_percent": 100.0, "layers": 4, "copper_um": 70.0})
    extra = load_of(plated, ()).board_j_k - load_of(BARE, ()).board_j_k
    # 0.28 mm on 0.01 m2: 2.8e-6 m3 times (3.45 - 1.76) MJ/m3K
    assert extra == pytest.approx(2.8e-6 * (8960 * 385 - 1850 * 950), rel=1e-6)


def test_the_largest_part_stands_alone_and_the_rest_goes_with_the_board():
    bench = load_bench(load_paste("sac305"), "bat-logger")
    load = load_of(bench.board, bench.fitted)
    # the battery connector: 6 x 8 x 7.5 mm
    assert load.large_part_j_k == pytest.approx(0.72)
    assert load.board_j_k > load_of(bench.board, ()).board_j_k


def test_another_board_changes_heat_capacity_and_every_area():
    params = load_source("toaster").plant_params()
    twice = Board(name="twice", length_mm=90.0, width_mm=70.0, thickness_mm=1.6)
    found = for_board(params, twice, ())
    assert found.board_film_cm2 == pytest.approx(2 * params.board_film_cm2)
    assert found.liner_board_cm2 == pytest.approx(2 * params.liner_board_cm2)
    assert found.board_j_k > 1.5 * params.board_j_k
    assert differs(load_of(twice, ()).whole_j_k, known_load(params).whole_j_k)
    assert not differs(10.0, 11.0)


def test_a_rested_source_is_colder_the_longer_and_never_below_its_room():
    hot = warm._hot(MODEL)
    readings = [warm.rested(MODEL, hot, rest_s)[SENSOR] for rest_s in (10, 120, 600, 3600)]
    assert readings == sorted(readings, reverse=True)
    assert readings[-1] >= 25.0 - 1e-6


def test_the_state_at_a_reading_reads_so_with_a_cold_board_in_it():
    for sensor_c in (40.0, 70.0):
        state = warm.at_reading(MODEL, sensor_c)
        assert state[SENSOR] == pytest.approx(sensor_c, abs=1.0)
        assert state[BOARD] == 25.0
    assert warm.at_reading(MODEL, 20.0) == MODEL.start()


def test_how_long_to_wait_is_how_long_it_takes():
    hot = warm._hot(MODEL)
    wait_s = warm.wait_s(MODEL, hot, 72.0)
    assert warm.rested(MODEL, hot, wait_s)[SENSOR] == pytest.approx(72.0, abs=0.5)
    assert np.isclose(warm.wait_s(MODEL, hot, 10.0), warm.LONGEST_REST_S)


def test_a_slow_bead_is_warned_of():
    params = load_source("toaster").plant_params()
    wanted = Wanted(load_paste("sac305"), None, reads="board_sensor")
    slow = replace(params, board_sensor_s=8.0)
    assert any("lags by 8 s" in line for line in loop_warnings(slow, wanted, ()))
    assert not list(loop_warnings(params, wanted, ()))
