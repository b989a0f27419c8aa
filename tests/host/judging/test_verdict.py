"""Verdicts on whole records: one word, one sentence, and nothing taken from the truth."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest

from heatcore import codes
from heatcore.command import Command
from heatcore.inputs import OK, OPEN, Inputs
from heatwright import sentences
from heatwright.documents.bench import Bench
from heatwright.judging.board import Board
from heatwright.judging.verdict import Verdict, judge, judge_board
from heatwright.records import units
from heatwright.records.reader import read
from heatwright.records.writer import RecordWriter
from records_made import GOOD, corners, paste, write


def verdict_of(points: tuple[tuple[float, float], ...], **window: object) -> Verdict:
    return judge_board(Board(*corners(points), "measured", 2.5), Bench(paste(**window)))


def judged(
    folder: Path, sensor_c: np.ndarray, truth_c: np.ndarray | None = None, **head
) -> Verdict:
    return judge(read(write(folder / "record.txt", sensor_c, truth_c, **head)), Bench(paste()))


@pytest.mark.parametrize("placing", ["on_board", "scrap_board"])
def test_a_good_run_with_a_bead_on_the_board_passes(tmp_path: Path, placing: str) -> None:
    verdict = judged(tmp_path, corners(GOOD)[1], placing=placing)
    assert verdict.status == "pass"
    assert verdict.board_from == "measured"
    assert verdict.peak_board_c == 242.0
    assert verdict.time_above_liquidus_s == pytest.approx(56.5)
    assert verdict.sentence == (
        "Melted: the board peaked at 242 °C and stayed 56 s above 217 °C; "
        "every window of SAC305 holds."
    )
    assert verdict.notes == ()


@pytest.mark.parametrize("placing", ["air", "touching", "in_sand", None])
def test_without_a_bead_on_the_board_nothing_is_known(tmp_path: Path, placing: str | None) -> None:
    head = {"placing": placing} if placing else {}
    verdict = judged(tmp_path, corners(GOOD)[1], **head)
    assert verdict.status == "unknown"
    assert verdict.board_from is verdict.peak_board_c is verdict.time_above_liquidus_s is None
    assert "scrap board" in " ".join(verdict.notes)


@pytest.mark.parametrize("placing", ["air", "on_board"])
def test_the_truth_changes_no_verdict(tmp_path: Path, placing: str) -> None:
    sensor_c = corners(GOOD)[1]
    documents = []
    for number, truth_c in enumerate((None, sensor_c - 60.0, sensor_c + 60.0)):
        (tmp_path / str(number)).mkdir()
        verdict = judged(tmp_path / str(number), sensor_c, truth_c, placing=placing)
        documents.append(verdict.as_json())
    assert documents[0] == documents[1] == documents[2]


def test_a_second_sensor_on_the_board_is_believed(tmp_path: Path) -> None:
    inputs = Inputs()
    with RecordWriter(
        tmp_path / "record.txt", {"placing": "air", "second_placing": "on_board"}
    ) as w:
        for tick, board_c in enumerate(corners(GOOD)[1]):
            inputs.sensor_mc, inputs.sensor_status = 300_000, OK
            inputs.second_mc, inputs.second_status = units.mc_from_c(board_c), OK
            w.sample(tick, 250 * tick, inputs, Command())
    assert judge(read(tmp_path), Bench(paste())).peak_board_c == 242.0


def silent_for(path: Path, ticks: range) -> Path:
    inputs = Inputs()
    with RecordWriter(path, {"placing": "on_board"}) as record:
        for tick, board_c in enumerate(corners(GOOD)[1]):
            inputs.sensor_mc = units.mc_from_c(board_c)
            inputs.sensor_status = OPEN if tick in ticks else OK
            record.sample(tick, 250 * tick, inputs, Command())
    return path


@pytest.mark.parametrize(
    ("ticks", "status", "said"),
    [
        (range(1000, 1018), "pass", "Melted"),
        (range(1000, 1020), "unknown", "silent for 5 s from 250 s on"),
        (range(1, 10_000), "unknown", "no good reading"),
    ],
)
def test_a_short_silence_is_bridged_and_a_long_one_hides_the_board(tmp_path, ticks, status, said):
    verdict = judge(read(silent_for(tmp_path / "record.txt", ticks)), Bench(paste()))
    assert verdict.status == status
    assert said in verdict.sentence


def test_one_wild_reading_is_no_peak(tmp_path: Path) -> None:
    sensor_c = corners(GOOD)[1].copy()
    sensor_c[700] = 400.0
    sensor_c[1200] = -50.0
    verdict = judged(tmp_path, sensor_c, placing="on_board")
    assert (verdict.status, verdict.peak_board_c) == ("pass", 242.0)


def test_closer_to_an_end_than_the_bead_can_tell_is_likely() -> None:
    assert verdict_of(GOOD, peak_c=(239.4, 250.0)).status == "pass"
    verdict = verdict_of(GOOD, peak_c=(239.6, 250.0))
    assert verdict.status == "likely_pass"
    assert "the peak lies closer to its end" in verdict.sentence


def test_outside_by_less_than_the_bead_can_tell_is_still_a_fail() -> None:
    verdict = verdict_of(GOOD, peak_c=(242.1, 250.0))
    assert verdict.status == "fail"
    assert "242.0 °C, 0.1 °C under the 242.1 °C needed" in verdict.sentence


def test_never_melted_is_said_first() -> None:
    verdict = verdict_of(((0, 25), (200, 198), (400, 50)))
    assert verdict.status == "fail"
    assert verdict.sentence == (
        "The paste never melted: the board peaked at 198 °C, 19 °C short of the 217 °C at which "
        "SAC305 is molten."
    )
    assert any("separate grains" in note for note in verdict.notes)


def test_slow_cooling_is_a_warning_that_says_what_to_do() -> None:
    slow = ((0, 25), (125, 150), (215, 200), (245, 220), (265, 240), (301, 217), (600, 60))
    verdict = verdict_of(slow, above_liquidus_s=(30.0, 100.0))
    assert verdict.status == "warn"
    assert verdict.sentence.startswith("Melted: the board peaked at 240 °C")
    assert "under the 1 °C/s needed" in verdict.sentence
    assert any("door wider" in note for note in verdict.notes)


def test_a_record_that_ends_hot_is_unknown() -> None:
    verdict = verdict_of(GOOD[:5])
    assert verdict.status == "unknown"
    assert "The record ends before" in verdict.sentence


def test_what_is_wrong_comes_before_what_is_unknown() -> None:
    assert verdict_of(((0, 25), (200, 255))).status == "fail"


@pytest.mark.parametrize("window", [{}, {"peak_c": (225.0, 230.0)}])
def test_the_document_is_plain_json_with_the_promised_keys(window) -> None:
    document = json.loads(json.dumps(verdict_of(GOOD, **window).as_json(), allow_nan=False))
    assert document["schema_version"] == 1
    assert document["verdict"] == ("fail" if window else "pass")
    # from the corners: 3 C in 4.5 s, then 22 C in 25 s, 22 C in 25 s and 3 C in 2 s
    areas = (3 * 4.5, (3 + 25) * 25, (25 + 3) * 25, 3 * 2)
    assert document["heating_factor_k_s"] == pytest.approx(sum(areas) / 2)
    promised = {"name", "value", "unit", "low", "high", "margin", "status", "source"}
    assert all(promised <= measure.keys() for measure in document["measures"])


# Too long molten, too hot, cooled too fast: everything there is to advise on.
TOO_MUCH = ((0, 25), (125, 150), (215, 200), (245, 220), (300, 256), (350, 220), (365, 60))
AT_S = 300


def struck(path: Path, code: int, stage: int, seen: int = 0) -> Verdict:
    """A run on whose 300th second something happens, in this stage."""
    inputs, command = Inputs(), Command()
    with RecordWriter(path, {"placing": "on_board"}) as record:
        for tick, board_c in enumerate(corners(TOO_MUCH)[1]):
            inputs.sensor_mc, inputs.sensor_status = units.mc_from_c(board_c), OK
            command.stage = stage
            record.sample(tick, 250 * tick, inputs, command)
            if tick == 4 * AT_S:
                record.event(tick, 250 * tick, code, seen, 0)
    return judge(read(path), Bench(paste()))


def test_a_whole_run_is_told_what_to_do_otherwise(tmp_path: Path) -> None:
    notes = " ".join(struck(tmp_path / "record.txt", codes.EVENT_MARK, codes.RAMP_DOWN).notes)
    assert "Open the door earlier" in notes
    assert "open the door less" in notes.casefold()
    assert "stopped" not in notes


@pytest.mark.parametrize(
    ("code", "stage", "ended"),
    [
        (codes.NOT_COOLING, codes.RAMP_DOWN, "safety"),
        (codes.NOT_AS_EXPECTED, codes.RAMP_DOWN - 1, "safety"),
        (codes.EVENT_STOP, codes.RAMP_DOWN - 1, "stop"),
    ],
)
def test_a_run_that_was_stopped_is_told_its_harm_and_no_tuning(tmp_path, code, stage, ended):
    verdict = struck(tmp_path / "record.txt", code, stage, seen=5000)
    said = sentences.CUT_BY[ended]
    assert [note == said for note in verdict.notes] == [True, *[False] * (len(verdict.notes) - 1)]
    told = " ".join(verdict.notes[1:])
    assert "The peak was 256 °C" in told
    assert "plastic softens" in told
    assert not any(word in told for word in ("door", "cracked", "soak"))


def test_a_stop_while_it_cools_ends_nothing(tmp_path: Path) -> None:
    notes = struck(tmp_path / "record.txt", codes.EVENT_STOP, codes.RAMP_DOWN).notes
    assert sentences.CUT_BY["stop"] not in notes
    assert any("Open the door earlier" in note for note in notes)


@pytest.mark.parametrize(
    ("code", "seen"),
    [(codes.SENSOR_RATE, -30_000), (codes.FALL_UNDER_HEAT, 0), (codes.NOT_AS_EXPECTED, -7_000)],
)
def test_a_bead_that_came_off_measured_no_board(tmp_path, code, seen):
    verdict = struck(tmp_path / "record.txt", code, codes.RAMP_DOWN - 1, seen)
    assert (verdict.status, verdict.peak_board_c) == ("unknown", None)
    assert "may not have been the board's" in verdict.sentence
    assert verdict.notes[0] == sentences.CUT_BY["safety"]
    assert "cool" not in " ".join(verdict.notes)
