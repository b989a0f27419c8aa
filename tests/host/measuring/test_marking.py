"""Melt marks: kept beside the record, taken back, questioned, and what they teach a source."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

import records_made
from heatcore import codes, line
from heatwright.documents import Source, load_source
from heatwright.errors import BadInput
from heatwright.judging.melting import Melt
from heatwright.measuring import band, candidate, learning, marking
from heatwright.measuring.fitting import melt_residual
from heatwright.measuring.measurement import SENSOR
from heatwright.records import melt_marks
from heatwright.records.melt_marks import Mark
from heatwright.records.reader import read
from measuring_made import BOARD, measuring_run, melt_seen, soldering_run, workshop


@pytest.fixture
def record(tmp_path: Path) -> Path:
    _, board_c = records_made.corners(records_made.GOOD)
    return records_made.write(tmp_path / "record.txt", board_c, placing="air")


def test_marks_are_kept_beside_the_record(record: Path) -> None:
    before = read(record)
    melt_marks.add(record, Mark(250.0, "first_melt", "SAC305"))
    melt_marks.add(record, Mark(240.0, "not_melted", forced=True))
    after = read(record)
    assert after.trace_sha256 == before.trace_sha256
    found = melt_marks.marks_of(after)
    assert [(m.time_s, m.seen, m.alloy, m.forced) for m in found] == [
        (240.0, "not_melted", "", True),
        (250.0, "first_melt", "SAC305", False),
    ]


def test_the_latest_mark_is_taken_back_and_its_number_not_used_again(record: Path) -> None:
    melt_marks.add(record, Mark(250.0, "first_melt"))
    melt_marks.add(record, Mark(260.0, "last_melt"))
    assert melt_marks.undo(record).time_s == 260.0
    assert melt_marks.add(record, Mark(262.0, "last_melt")).number == 3
    assert [m.time_s for m in melt_marks.marks_of(read(record))] == [250.0, 262.0]


def test_nothing_to_take_back(record: Path) -> None:
    with pytest.raises(BadInput, match="no mark"):
        melt_marks.undo(record)


def test_a_cut_line_is_no_mark(record: Path) -> None:
    melt_marks.add(record, Mark(250.0, "first_melt"))
    beside = melt_marks.beside(record)
    beside.write_bytes(beside.read_bytes() + b'["m",2,9000,"first_me')
    assert len(melt_marks.marks_of(read(record))) == 1


def test_presses_of_the_run_itself(tmp_path: Path) -> None:
    _, board_c = records_made.corners(records_made.GOOD)
    path = records_made.write(tmp_path / "record.txt", board_c, placing="air")
    events = [
        (200_000, codes.EVENT_NOT_MELTED, 180_000),
        (230_000, codes.EVENT_NOT_MELTED, 0),  # the wait gave up: nobody said so
        (240_000, codes.EVENT_MARK, 210_000),
        (241_000, codes.EVENT_UNMARK, 210_000),
        (250_000, codes.EVENT_MARK, 215_000),
        (255_000, codes.EVENT_MARK, 218_000),
    ]
    with path.open("ab") as file:
        for at_ms, code, seen in events:
            file.write(line.encode(["e", 9, at_ms, code, seen, 0]))
    assert [(m.time_s, m.seen) for m in melt_marks.marks_of(read(path))] == [
        (200.0, "not_melted"),
        (250.0, "first_melt"),
        (255.0, "last_melt"),
    ]


def test_a_melt_is_a_fixed_point_with_its_uncertainty() -> None:
    melt = Melt(100.0, "first_melt", 217.0, 220.0)
    assert melt.mean_c == 218.5
    assert melt.at_s == 99.0
    assert 1.0 < melt.sd_k(0.8) < 2.0
    assert melt.sd_k(3.0) > melt.sd_k(0.8)
    wide = Melt(100.0, "first_melt", 217.0, 227.0)
    assert wide.sd_k(0.8) > melt.sd_k(0.8)


def test_marks_of_many_runs_never_tell_where_in_its_range_a_paste_melts() -> None:
    """Information adds up to no more than the range leaves: n marks are off by range + own / n."""
    marks = [Melt(100.0, "first_melt", 217.0, 220.0, nth=n) for n in range(1, 31)]
    together_k2 = 1.0 / np.cumsum([1.0 / mark.sd_k(1.0) ** 2 for mark in marks])
    range_k2 = 3.0**2 / 12
    own_k2 = marks[0].sd_k(1.0) ** 2 - range_k2
    assert together_k2 == pytest.approx(range_k2 + own_k2 / np.arange(1, 31))
    eutectic = [Melt(100.0, "first_melt", 183.0, 183.0, nth=n).sd_k(1.0) for n in (1, 7)]
    assert eutectic[0] == pytest.approx(eutectic[1])


@pytest.mark.parametrize(("board_c", "low", "high"), [(180.0, 0.0, 0.01), (240.0, 8.0, 15.0)])
def test_not_melted_speaks_from_one_side(board_c: float, low: float, high: float) -> None:
    states = board_c + 0.8 * (0.25 * np.arange(401.0)[:, None] - 50.0) + np.zeros(9)
    assert low <= melt_residual(states, Melt(50.0, "not_melted", 217.0, 220.0)) <= high


@pytest.fixture(scope="module")
def learnt_blind() -> Source:
    """A drawer measured with its air sensor alone."""
    run, _ = measuring_run(workshop("drawer", 5), SENSOR)
    learnt = learning.learn(load_source("drawer"), [run])
    kind = load_source("drawer")
    return candidate.document(kind, learnt.solution, [run], spread=learnt.spread)


def test_a_mark_brings_the_board_near_and_narrows_its_band(learnt_blind: Source) -> None:
    shop = workshop("drawer", 5)
    run, states = soldering_run(shop, (SENSOR,), 1)
    peak_c = float(states[:, BOARD].max())
    blind = marking.refit(learnt_blind, [run])
    told = marking.refit(learnt_blind, [replace(run, melts=melt_seen(shop, states, 1))])
    before_c, wide_k = band.board_band(blind)
    after_c, narrow_k = band.board_band(told)
    assert abs(after_c.max() - peak_c) < 6.0
    assert narrow_k[int(np.argmax(after_c))] < wide_k[int(np.argmax(before_c))] / 2


def test_marks_of_several_runs_add_up(learnt_blind: Source) -> None:
    """In one and the same run, the board near its melt is known better after each."""
    shop, source, sds = workshop("drawer", 5), learnt_blind, []
    held, hot = soldering_run(shop, (SENSOR,), 9)
    for number in (1, 2, 3):
        run, states = soldering_run(shop, (SENSOR,), number)
        run = replace(run, melts=melt_seen(shop, states, number))
        solution = marking.refit(source, [run])
        source = candidate.document(source, solution, [run], spread=source.spread, anew=False)
        told = marking.refit(source, [held])
        sds.append(float(band.known_sd(told)[(hot[:, BOARD] >= 218.0).argmax()]))
    assert sds[0] > sds[1] > sds[2]
    assert len(source.marked_from) == 3
    assert len(source.learnt_from) == 4


def test_marks_learnt_at_once_count_as_those_learnt_one_by_one(learnt_blind: Source) -> None:
    shop, runs = workshop("drawer", 5), []
    for number in (1, 2):
        run, states = soldering_run(shop, (SENSOR,), number)
        runs.append(replace(run, melts=melt_seen(shop, states, number)))
    first = marking.refit(learnt_blind, runs[:1])
    known = candidate.document(
        learnt_blind, first, runs[:1], spread=learnt_blind.spread, anew=False
    )
    held, hot = soldering_run(shop, (SENSOR,), 9)
    melts = int((hot[:, BOARD] >= 218.0).argmax())
    at_once = marking.refit(learnt_blind, runs)
    source = candidate.document(learnt_blind, at_once, runs, spread=learnt_blind.spread, anew=False)
    one_by_one = candidate.document(
        known, marking.refit(known, runs[1:]), runs[1:], spread=known.spread, anew=False
    )
    told = [band.board_band(marking.refit(one, [held])) for one in (source, one_by_one)]
    (board_c, sd_k), (other_c, other_k) = told
    assert board_c[melts] == pytest.approx(other_c[melts], abs=0.5)
    assert sd_k[melts] == pytest.approx(other_k[melts], rel=0.15)


def test_not_yet_lowers_a_board_that_was_thought_molten(learnt_blind: Source) -> None:
    runs = (soldering_run(workshop("drawer", 5), (SENSOR,), number)[0] for number in range(1, 6))
    thought = ((run, band.board_band(marking.refit(learnt_blind, [run]))[0]) for run in runs)
    run, blind_c = next((run, board_c) for run, board_c in thought if board_c.max() > 225.0)
    top_s = float(run.time_s[int(np.argmax(blind_c))])
    melt = Melt(top_s, "not_melted", 217.0, 220.0)
    told = marking.refit(learnt_blind, [replace(run, melts=(melt,))])
    told_c, _ = band.board_band(told)
    assert told_c.max() < 225.0


def test_a_mark_that_contradicts_is_doubted_in_standard_deviations(learnt_blind: Source) -> None:
    shop = workshop("drawer", 5)
    run, states = soldering_run(shop, (SENSOR,), 1)
    flux = Melt(40.0, "first_melt", 217.0, 220.0, "SAC305")
    (doubt,) = marking.doubts(learnt_blind, replace(run, melts=(flux,)))
    assert doubt.sds < -5
    right = replace(run, melts=melt_seen(shop, states, 1))
    assert marking.doubts(learnt_blind, right) == []


def test_what_was_learnt_before_is_not_counted_twice(learnt_blind: Source) -> None:
    run, states = soldering_run(workshop("drawer", 5), (SENSOR,), 1)
    known = learnt_blind.model_copy(update={"learnt_from": [run.sha256]})
    again = marking.refit(known, [run])
    prior = marking.of_learnt(known)
    assert again.known.sd == pytest.approx(prior.sd, rel=1e-3)
    melts = melt_seen(workshop("drawer", 5), states, 1)
    assert marking.refit(known, [replace(run, melts=melts)]).known.sd.sum() < prior.sd.sum()


def test_a_melt_is_known_by_its_own_name_and_a_file_that_names_none_knows_all() -> None:
    source, sha256 = load_source("drawer"), "a" * 64
    first, last = (Melt(at, "first_melt", 217.0, 220.0, "SAC305") for at in (200.0, 220.0))
    assert not candidate.knows(source, sha256, first)
    unnamed = source.model_copy(update={"marked_from": [sha256]})
    assert candidate.knows(unnamed, sha256, first)
    key = candidate.melt_key(sha256, first)
    named = unnamed.model_copy(update={"marks_from": [key]})
    assert candidate.knows(named, sha256, first)
    assert not candidate.knows(named, sha256, last)
    assert not candidate.knows(named, "b" * 64, first)
