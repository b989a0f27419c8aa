"""The board while a run goes on, on a source that is not quite the fitted one."""

from dataclasses import replace

import pytest

from heatcore.inputs import OK
from heatsim.plant import STEP_S, Plant
from heatwright.documents import load_paste, load_source
from heatwright.documents.bench import load_bench
from heatwright.documents.load import for_board
from heatwright.judging.board import BEAD_TOLERANCE_K
from heatwright.page.board_now import Watcher

HEATED_S, DUTY = 280.0, 0.8
BENCH = load_bench(load_paste("sac305"), "bat-logger")


def heavy():
    """Twice as thick, four layers: it takes far more heat than the source was fitted with."""
    board = BENCH.board.model_copy(update={"thickness_mm": 3.2, "layers": 4})
    return replace(BENCH, board=board)


def followed(true, bench):
    """The board's last estimate, and what it really had."""
    source = load_source("toaster")
    plant, watcher = Plant(true), Watcher("air", source, 25.0, bench)
    plant.reset(25.0)
    sample = {"sensor_status": OK, "duty": round(10_000 * DUTY), "door": 0, "fan": 1, "stage": 0}
    felt, now = plant.temperatures(), None
    for _ in range(round(HEATED_S / STEP_S)):
        now = watcher.see({**sample, "sensor_mc": round(1000 * felt["sensor"])})
        felt = plant.step(STEP_S, DUTY, 0.0, 1.0)
    return now, felt["board"]


def test_the_board_that_lies_in_it_is_the_one_that_is_followed():
    bench = heavy()
    true = for_board(load_source("toaster").plant_params(), bench.board, bench.fitted)
    now, board_c = followed(true, bench)
    assert now.origin == "estimated"
    assert abs(now.board_c - board_c) < BEAD_TOLERANCE_K
    other, _ = followed(true, None)
    assert other.board_c - board_c > 2 * BEAD_TOLERANCE_K


def test_a_mark_tells_more_of_the_board_than_the_air_does():
    source, bench = load_source("toaster"), load_bench(load_paste("sac305"), None)
    plant, watcher = Plant(source.plant_params()), Watcher("air", source, 25.0, bench)
    plant.reset(25.0)
    sample = {"sensor_status": OK, "duty": round(10_000 * DUTY), "door": 0, "fan": 1, "stage": 0}
    felt = plant.temperatures()
    while felt["board"] < 218.0:
        now = watcher.see({**sample, "sensor_mc": round(1000 * felt["sensor"])})
        felt = plant.step(STEP_S, DUTY, 0.0, 1.0)
    watcher.melted()
    reading = {**sample, "sensor_mc": round(1000 * felt["sensor"])}
    marked = watcher.see(reading)
    assert marked.band_k < now.band_k / 2
    assert abs(marked.board_c - felt["board"]) < marked.band_k
    watcher.not_melted()
    assert watcher.see(reading).band_k > now.band_k / 1.2


@pytest.mark.parametrize("power", [0.85, 1.15])
def test_the_sensor_corrects_a_source_that_heats_otherwise(power):
    params = load_source("toaster").plant_params()
    now, board_c = followed(replace(params, power_w=power * params.power_w), None)
    assert board_c > 150
    assert abs(now.board_c - board_c) < now.band_k
    plain = Plant(params)
    plain.reset(25.0)
    for _ in range(round(HEATED_S / STEP_S)):
        felt = plain.step(STEP_S, DUTY, 0.0, 1.0)
    # closer than the model alone, which never looks at the sensor
    assert abs(now.board_c - board_c) < abs(felt["board"] - board_c) / 2
