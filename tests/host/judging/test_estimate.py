"""A board that no bead touched, estimated on the source's model: never surer than it may be."""

from __future__ import annotations

import tempfile
from dataclasses import replace
from functools import cache
from pathlib import Path
from random import Random

import numpy as np
import pytest

from heatcore.codes import EVENT_DOOR, EVENT_MARK, EVENT_NOT_MELTED, EVENT_UNMARK
from heatcore.inputs import NONE
from heatsim.batch import inputs_table, simulate_compiled
from heatsim.plant import NODES
from heatsim.seeds import variation
from heatwright.documents import Source, load_paste, load_source
from heatwright.documents import board as documents_board
from heatwright.documents.bench import Bench
from heatwright.judging.board import Board, Unknown, known_board
from heatwright.judging.estimate import draw
from heatwright.judging.verdict import judge
from heatwright.records import melt_marks
from heatwright.records.reader import Event, Record, read
from records_made import TICK_S, write

BOARD, SENSOR = NODES.index("board"), NODES.index("sensor")
TICKS = 1600
SPREAD = 0.15  # how far the real source of a test is from its file
SAC305 = load_paste("sac305")
BENCH = Bench(SAC305)


@cache
def lived(kind: str, seed: int) -> tuple[np.ndarray, np.ndarray]:
    """Duty and nodes of a source like its file: full heat until the board will reach 242 °C."""
    params = variation(load_source(kind).plant_params(), SPREAD, Random(f"lived {seed}"))
    for ticks in range(60, TICKS, 20):
        duty = np.where(np.arange(TICKS) < ticks, 0.95, 0.0)
        nodes = simulate_compiled([params], inputs_table(duty))[0][:-1]
        if nodes[:, BOARD].max() > 242.0:
            return duty, nodes
    raise AssertionError("this source does not get there")


def record(folder: Path, kind: str, seed: int, marked: bool, **header: str) -> Record:
    duty, nodes = lived(kind, seed)
    offset_k = Random(f"offset {seed}").uniform(-2.0, 2.0)
    path = folder / f"{kind}-{seed}-{marked}.txt"
    head = {"placing": load_source(kind).sensor.placing, **header}
    run = read(write(path, nodes[:, SENSOR] + offset_k, duty=duty, **head))
    at_s = TICK_S * int(np.argmax(nodes[:, BOARD] >= 218.5))
    # a second for the eye and the hand
    return replace(run, events=(Event(at_s + 1.0, EVENT_MARK, None, None),)) if marked else run


def covered(kind: str, seed: int) -> tuple[float, bool, float]:
    """Error of the estimated peak after one mark, whether the band holds the true one, its half."""
    with tempfile.TemporaryDirectory() as folder:
        board = known_board(record(Path(folder), kind, seed, True), BENCH, load_source(kind))
    assert isinstance(board, Board)
    true_c = float(lived(kind, seed)[1][:, BOARD].max())
    peaks_c = [curve.max() for curve in board.others]
    inside = bool(min(peaks_c) <= true_c <= max(peaks_c))
    return float(board.board_c.max()) - true_c, inside, board.tolerance_k


@pytest.mark.parametrize("kind", ["toaster", "convection"])
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_a_melt_mark_makes_the_board_known(kind: str, seed: int) -> None:
    error_k, inside, half_band_k = covered(kind, seed)
    assert inside
    assert abs(error_k) < 8.0
    # what no number of the source explains is seen by the mark too
    assert half_band_k < 9.0


def test_without_a_mark_a_source_of_its_kind_tells_too_little(tmp_path: Path) -> None:
    run = record(tmp_path, "toaster", 1, False)
    board = known_board(run, BENCH, load_source("toaster"))
    assert isinstance(board, Unknown)
    assert board.reason == "vague"
    verdict = judge(run, BENCH, load_source("toaster"))
    assert verdict.status == "unknown"
    assert verdict.peak_board_c is None
    assert "melt mark" in " ".join(verdict.notes)


def exact(source: Source) -> Source:
    """The same source, as if measured so well that nothing is left to doubt."""
    sure = dict.fromkeys(source.relative_sd(), 0.005)
    model = source.model.model_copy(update={"sd": type(source.model.sd)(**sure)})
    return source.model_copy(update={"model": model, "spread": type(source.spread)()})


def test_a_measured_source_tells_without_a_mark(tmp_path: Path) -> None:
    source = exact(load_source("toaster"))
    duty = lived("toaster", 1)[0]
    nodes = simulate_compiled([source.plant_params()], inputs_table(duty))[0][:-1]
    run = read(write(tmp_path / "r.txt", nodes[:, SENSOR], duty=duty, placing="air"))
    verdict = judge(run, BENCH, source)
    assert verdict.board_from == "estimated"
    true_c = nodes[:, BOARD].max()
    assert verdict.peak_board_low_c <= true_c <= verdict.peak_board_high_c
    assert verdict.peak_board_high_c - verdict.peak_board_low_c < 20.0


def test_a_mark_taken_back_is_no_mark(tmp_path: Path) -> None:
    run = record(tmp_path, "toaster", 1, True)
    undone = replace(run, events=(*run.events, Event(400.0, EVENT_UNMARK, None, None)))
    assert isinstance(known_board(undone, BENCH, load_source("toaster")), Unknown)


def test_a_mark_made_afterwards_counts_like_one_pressed(tmp_path: Path) -> None:
    run, source = record(tmp_path, "toaster", 1, False), load_source("toaster")
    at_s = TICK_S * int(np.argmax(lived("toaster", 1)[1][:, BOARD] >= 218.5)) + 1.0
    melt_marks.add(run.path, melt_marks.Mark(at_s, "first_melt"))
    afterwards = known_board(run, BENCH, source)
    pressed = known_board(record(tmp_path, "toaster", 1, True), BENCH, source)
    assert isinstance(afterwards, Board)
    assert isinstance(pressed, Board)
    assert afterwards.board_c.max() == pytest.approx(pressed.board_c.max(), abs=0.5)


def test_not_melted_yet_bounds_the_board_from_above(tmp_path: Path) -> None:
    marked, source = record(tmp_path, "toaster", 1, True), load_source("toaster")
    board = known_board(marked, BENCH, source)
    assert isinstance(board, Board)
    melt = int(np.argmax(board.board_c >= 215.0))
    unmolten = Event(float(board.time_s[melt]), EVENT_NOT_MELTED, 1, None)
    bounded = known_board(replace(marked, events=(*marked.events, unmolten)), BENCH, source)
    assert isinstance(bounded, Board)
    assert max(c.max() for c in bounded.others) <= max(c.max() for c in board.others)
    early = Event(100.0, EVENT_MARK, None, None)
    late = Event(float(board.time_s[-1]) / 2, EVENT_NOT_MELTED, 1, None)
    absurd = known_board(replace(marked, events=(early, late)), BENCH, source)
    assert isinstance(absurd, Unknown)


def test_a_sensor_that_is_not_where_the_file_has_it_tells_nothing(tmp_path: Path) -> None:
    run = record(tmp_path, "toaster", 1, True, placing="touching")
    board = known_board(run, BENCH, load_source("toaster"))
    assert isinstance(board, Unknown)
    assert board.reason == "moved"


def test_the_truth_is_never_read(tmp_path: Path) -> None:
    duty, nodes = lived("toaster", 1)
    mark = (Event(300.0, EVENT_MARK, None, None),)
    told = []
    for shift_k in (-80.0, 80.0):
        path = tmp_path / f"{shift_k}.txt"
        run = read(
            write(path, nodes[:, SENSOR], nodes[:, BOARD] + shift_k, duty=duty, placing="air")
        )
        told.append(judge(replace(run, events=mark), BENCH, load_source("toaster")).as_json())
    assert told[0] == told[1]


def test_a_heavy_board_is_estimated_as_slower(tmp_path: Path) -> None:
    run, source = record(tmp_path, "toaster", 1, True), load_source("toaster")
    heavy = documents_board.Board(name="heavy", length_mm=160.0, width_mm=100.0, thickness_mm=2.4)
    light, slow = (known_board(run, one, source) for one in (BENCH, Bench(SAC305, heavy)))
    assert isinstance(light, Board)
    assert isinstance(slow, Board)
    early = len(light.board_c) // 3
    assert slow.board_c[early] < light.board_c[early] - 1.0


def test_an_open_door_is_in_the_estimate(tmp_path: Path) -> None:
    run = record(tmp_path, "toaster", 1, True)
    opened = replace(run, events=(*run.events, Event(310.0, EVENT_DOOR, 1, NONE)))
    source = load_source("toaster")
    shut, wide = (known_board(one, BENCH, source) for one in (run, opened))
    assert isinstance(shut, Board)
    assert isinstance(wide, Board)
    assert wide.board_c[-1] < shut.board_c[-1]


def test_drawn_sources_have_the_spread_and_the_correlation_of_the_file() -> None:
    source = load_source("toaster")
    sd = source.relative_sd()
    drawn = draw(source, 2000, np.random.default_rng(1))
    for name, relative in sd.items():
        values = np.log([getattr(one, name) for one in drawn])
        assert values.std() == pytest.approx(relative, rel=0.1)
