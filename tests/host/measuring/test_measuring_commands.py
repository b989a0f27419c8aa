"""measure, mark and source-error from the command line."""

from __future__ import annotations

import json
import os
import re
import shutil
import signal
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from heatwright.__main__ import run as run_main
from heatwright.commands.mark import command as mark
from heatwright.commands.measure import command as measure
from heatwright.commands.source_error import command as source_error
from heatwright.documents import load_source, locate
from heatwright.errors import EXIT_INTERRUPTED, BadInput
from heatwright.measuring import learning
from heatwright.records.melt_marks import marks_of
from heatwright.records.reader import read
from heatwright.running.begun import Begun
from heatwright.running.target import Line


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("measuring")


@pytest.fixture(scope="module")
def measured(place: Path) -> Result:
    """One guided run with the thermocouple in the air."""
    words = ["--on", "sim:toaster", "--kind", "toaster", "--runs", str(place / "runs"), "--json"]
    return CliRunner().invoke(
        measure, [*words, "--out", str(place / "mine.toml"), "--accept"], catch_exceptions=False
    )


def record_of(place: Path) -> Path:
    (folder,) = (place / "runs").iterdir()
    return folder


def truth_melts_s(folder: Path) -> float:
    """When the simulated board passes SAC305's melting range: what a person would see."""
    truth = read(folder).truth
    assert truth is not None
    return float(truth.time_s[(truth.board_c >= 218.5).argmax()])


def test_guided_run_leaves_a_source_and_its_json(place: Path, measured: Result) -> None:
    found = json.loads(measured.stdout)
    assert measured.exit_code == 0
    assert found["source"] == str(place / "mine.toml")
    assert found["held_out_rms_c"] < 3.0
    assert found["fit_percent"] > 95.0
    assert any("Nobody read the board" in text for text in found["warnings"])
    assert Path(found["picture"]).read_bytes().startswith(b"\x89PNG")
    assert load_source(place / "mine.toml").generation == 1


def test_guided_run_did_all_three_things(place: Path, measured: Result) -> None:
    record = read(record_of(place))
    assert record.duty.max() == pytest.approx(0.98)
    assert record.raw["door"][-1] == 1
    assert record.truth is not None
    assert record.truth.board_c.max() < 260.0
    assert record.header["rack"] == load_source("toaster").rack
    assert record.header["placing"] == "air"


def test_source_error_of_the_run_it_was_learnt_from(place: Path, measured: Result) -> None:
    words = [str(place / "mine.toml"), str(record_of(place)), "--json"]
    found = json.loads(CliRunner().invoke(source_error, words).stdout)
    assert set(found) >= {"sensor", "source", "record"}
    assert "board" not in found
    assert found["sensor"]["rms_c"] < 3.0
    assert 95.0 < found["sensor"]["fit_percent"] <= 100.0


def test_a_csv_says_where_its_sensor_sat(tmp_path: Path) -> None:
    log = tmp_path / "log.csv"
    rows = (f"{t},1.0,{25 + 0.6 * t:.1f}" for t in range(300))
    log.write_text("\n".join(["time_s,duty,sensor_c", *rows]) + "\n")
    words = ["toaster", str(log), "--json"]
    assert "sensor" in json.loads(CliRunner().invoke(source_error, words).stdout)
    board = CliRunner().invoke(source_error, [*words, "--placing", "scrap_board"]).stdout
    assert "sensor" not in json.loads(board)
    assert json.loads(board)["board"]["rms_c"] > 0.0


def test_a_mark_teaches_the_source_and_is_told(place: Path, measured: Result) -> None:
    at = f"{truth_melts_s(record_of(place)) + 1:.1f}"
    words = [str(record_of(place)), "--at", at, "--alloy", "SAC305", "--source"]
    result = CliRunner().invoke(
        mark, [*words, str(place / "mine.toml"), "--accept", "--json"], catch_exceptions=False
    )
    found = json.loads(result.stdout)
    truth = read(record_of(place)).truth
    assert truth is not None
    assert abs(found["peak_board_c"] - truth.board_c.max()) < 5.0
    assert found["peak_band_k"] < 10.0
    assert len(found["board_minus_sensor"]) > 5
    source = load_source(place / "mine.toml")
    assert source.generation == 2
    assert len(source.marked_from) == 1
    # what it was before is kept, for whoever wants to unlearn
    assert load_source(place / "earlier" / "mine.g1.toml").marked_from == []


def test_the_same_mark_again_weighs_nothing(place: Path, measured: Result) -> None:
    at = f"{truth_melts_s(record_of(place)) + 1:.1f}"
    before = (place / "mine.toml").read_bytes()
    words = [str(record_of(place)), "--at", at, "--alloy", "SAC305", "--source"]
    again = CliRunner().invoke(mark, [*words, str(place / "mine.toml"), "--accept"])
    assert "stays as it is" in again.stdout
    # its duty alone would tell of a board that the mark contradicts
    assert "board peaked" not in again.stdout
    assert "was told then" in again.stdout
    words += [str(place / "mine.toml"), "--json"]
    found = json.loads(CliRunner().invoke(mark, words).stdout)
    assert found["peak_board_c"] is None
    assert found["board_minus_sensor"] == []
    assert (place / "mine.toml").read_bytes() == before
    assert len(marks_of(read(record_of(place)))) == 1


def test_undo_says_how_to_unlearn(place: Path, measured: Result) -> None:
    words = [str(record_of(place)), "--undo", "--source", str(place / "mine.toml")]
    said = CliRunner().invoke(mark, words, catch_exceptions=False).stdout
    assert "Taken back: first melt" in said
    assert str(place / "earlier" / "mine.g1.toml") in said


def test_a_mark_of_flux_is_questioned_and_force_is_kept(
    place: Path, measured: Result, capsys: pytest.CaptureFixture[str]
) -> None:
    words = ["mark", str(record_of(place)), "--at", "0:50", "--alloy", "SAC305"]
    source = str(place / "mine.toml")
    assert run_main([*words, "--source", source]) == 2
    assert "standard deviations" in capsys.readouterr().err
    assert run_main([*words, "--source", source, "--force"]) == 0
    assert "--force" in load_source(place / "mine.candidate.toml").notes
    # accepting the same mark afterwards is not asked to be forced again, and the file still says so
    assert run_main([*words, "--source", source]) == 0
    assert "--force" in load_source(place / "mine.candidate.toml").notes
    assert run_main(["mark", str(record_of(place)), "--undo"]) == 0
    assert "Taken back: first melt at 50 s" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--at", "soon"], "not a time"),
        (["--at", "9999"], "outside the run"),
        (["--at", "200", "--alloy", "cheese"], "alloy"),
    ],
)
def test_marks_that_cannot_be(
    place: Path, measured: Result, capsys: pytest.CaptureFixture[str], words: list[str], said: str
) -> None:
    assert run_main(["mark", str(record_of(place)), *words]) == 2
    assert said in capsys.readouterr().err


def test_clock_time_of_a_video(place: Path, measured: Result) -> None:
    from datetime import datetime, timedelta

    record = read(record_of(place))
    began = datetime.fromisoformat(str(record.header["started"]))
    shown = began + timedelta(seconds=truth_melts_s(record_of(place)))
    words = [str(record_of(place)), "--at", f"{shown:%H:%M:%S}", "--video-time", "--json"]
    result = CliRunner().invoke(mark, [*words, "--alloy", "SAC305"], catch_exceptions=False)
    assert json.loads(result.stdout)["mark_s"] == pytest.approx(
        truth_melts_s(record_of(place)), abs=1.0
    )


def test_a_candidate_that_learnt_a_mark_goes_with_it(
    place: Path, measured: Result, capsys: pytest.CaptureFixture[str]
) -> None:
    at = f"{truth_melts_s(record_of(place)) + 1:.1f}"
    own = place / "own.toml"
    own.write_bytes((place / "earlier" / "mine.g1.toml").read_bytes())
    words = ["mark", str(record_of(place)), "--alloy", "SAC305", "--source", str(own)]
    assert run_main([*words, "--at", at]) == 0
    assert (place / "own.candidate.toml").is_file()
    assert run_main([*words, "--undo"]) == 0
    assert "was taken away" in capsys.readouterr().out
    assert run_main(["measure", "--kind", "toaster", "--out", str(own), "--accept"]) == 2
    assert load_source(own).marked_from == []


def test_undo_for_a_file_that_is_no_source_takes_nothing_back(
    place: Path, measured: Result, capsys: pytest.CaptureFixture[str]
) -> None:
    at = f"{truth_melts_s(record_of(place)) + 1:.1f}"
    words = ["mark", str(record_of(place)), "--alloy", "SAC305"]
    assert run_main([*words, "--at", at]) == 0
    before = marks_of(read(record_of(place)))
    assert run_main([*words, "--undo", "--source", "nothing.toml"]) == 2
    assert marks_of(read(record_of(place))) == before
    assert run_main([*words, "--undo"]) == 0


def test_what_is_exported_says_where_its_sensor_sat(place: Path, tmp_path: Path) -> None:
    from heatwright.measuring.measurement import BOARD_BEAD, SENSOR, load
    from heatwright.records.export import as_csv

    record = read(record_of(place))
    log = tmp_path / "log.csv"
    for placing, channel in (("air", SENSOR), ("scrap_board", BOARD_BEAD)):
        record.header["placing"] = placing
        log.write_text(as_csv(record))
        assert load(log).placing == placing
        assert set(load(log).readings) == {channel}
    assert load(log, placing="air").placing == "air"
    log.write_text(log.read_text().replace("scrap_board", "under the rug"))
    with pytest.raises(BadInput, match="where the sensor sat"):
        load(log)


def test_a_simulated_source_is_measured_as_what_it_is(capsys: pytest.CaptureFixture[str]) -> None:
    assert run_main(["measure", "--kind", "drawer", "--on", "sim:toaster"]) == 2
    said = capsys.readouterr().err
    assert "of another kind" in said
    assert "--kind toaster" in said


def test_measure_needs_something_to_measure(capsys: pytest.CaptureFixture[str]) -> None:
    assert run_main(["measure", "--kind", "toaster"]) == 2
    assert "nothing to measure" in capsys.readouterr().err


@pytest.mark.parametrize("words", [["--at", "200", "--accept"], ["--undo"]])
def test_a_shipped_source_learns_no_mark(
    place: Path,
    measured: Result,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    words: list[str],
) -> None:
    record = record_of(place).absolute()
    before = marks_of(read(record))
    monkeypatch.chdir(tmp_path)
    assert run_main(["mark", str(record), "--alloy", "SAC305", "--source", "toaster", *words]) == 2
    assert "--out my-toaster.toml" in capsys.readouterr().err
    assert marks_of(read(record)) == before
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    ("out", "said"),
    [
        ("toaster", "shipped source"),
        ("mine", "mine.toml"),
        ("none/mine.toml", "can't be written"),
        ("other.toml", "of another kind"),
    ],
)
def test_where_a_source_cannot_be_kept_is_said_before_the_run(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    out: str,
    said: str,
) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "other.toml").write_bytes(locate("source", "drawer").read_bytes())
    words = ["measure", "--kind", "toaster", "--on", "sim:toaster", "--out", out]
    assert run_main(words) == 2
    assert said in capsys.readouterr().err
    assert [path.name for path in tmp_path.iterdir()] == ["other.toml"]


@pytest.mark.parametrize(
    "words",
    [["measure", "log.csv", "--kind", "toaster"], ["source-error", "toaster", "log.csv"]],
)
def test_percent_is_cured_by_an_option_that_is_there(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    words: list[str],
) -> None:
    monkeypatch.chdir(tmp_path)
    rows = (f"{t},100,{25 + 0.6 * t:.1f}" for t in range(300))
    (tmp_path / "log.csv").write_text("\n".join(["time_s,duty,sensor_c", *rows]) + "\n")
    assert run_main(words) == 2
    said = capsys.readouterr().err
    assert "--duty-percent" in said
    assert "--duty-unit" not in said


def test_ctrl_c_twice_in_a_guided_run_names_what_was_recorded(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    shown = Begun.__call__

    def impatient(begun: Begun, line: Line) -> None:
        shown(begun, line)
        os.kill(os.getpid(), signal.SIGINT)

    monkeypatch.setattr(Begun, "__call__", impatient)
    monkeypatch.chdir(tmp_path)
    assert run_main(["measure", "--kind", "toaster", "--on", "sim:toaster"]) == EXIT_INTERRUPTED
    (folder,) = (tmp_path / "runs").iterdir()
    said = capsys.readouterr().err
    assert f"heatwright measure runs/{folder.name} --kind toaster --out toaster-measured" in said


def test_ctrl_c_while_learning_says_how_to_learn_later(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    with monkeypatch.context() as patched:
        patched.setattr(learning, "learn", lambda *_: os.kill(os.getpid(), signal.SIGINT))
        words = ["measure", "--kind", "toaster", "--on", "sim:toaster"]
        assert run_main(words) == EXIT_INTERRUPTED
    (told,) = re.findall("heatwright (measure runs/.*)", capsys.readouterr().err)
    assert run_main(told.split()) == 0
    assert load_source(tmp_path / "toaster-measured.candidate.toml").generation == 1


def unmarked(place: Path, at: Path) -> tuple[Path, Path]:
    """Copies of the measured run without its marks, and of the source that learnt from it alone."""
    run, own = at / "run", at / "own.toml"
    shutil.copytree(record_of(place), run)
    (run / "record.marks.txt").unlink(missing_ok=True)
    own.write_bytes((place / "earlier" / "mine.g1.toml").read_bytes())
    return run, own


def test_a_second_mark_of_a_run_that_was_learnt_says_what_was_counted_before(
    place: Path, measured: Result, tmp_path: Path
) -> None:
    run, own = unmarked(place, tmp_path)
    first = truth_melts_s(run) + 1

    def marked(at: float, *more: str) -> str:
        words = [str(run), "--at", f"{at:.1f}", "--seen", "last_melt", "--source", str(own)]
        return CliRunner().invoke(mark, [*words, "--force", *more], catch_exceptions=False).stdout

    marked(first, "--accept")
    before = load_source(own)
    # a candidate only: the same command with --accept keeps it, as it says
    for more in ([], ["--accept"]):
        told = marked(first + 20, *more)
        assert f"{run}: {own} has learnt from this run's sensor already" in told
        assert f"counted: last melt at {first:.0f} s" in told
        assert f"Found new: last melt at {first + 20:.0f} s" in told
        assert f"heatwright measure {run} ... --kind toaster --out {own}" in told
    after = load_source(own)
    assert after.generation == before.generation + 1
    assert len(after.marks_from) == 2
    # taken back and made again it is known still
    assert CliRunner().invoke(mark, [str(run), "--undo", "--source", str(own)]).exit_code == 0
    assert "stays as it is" in marked(first + 20, "--accept")
    assert load_source(own) == after


def test_a_mark_taken_back_that_was_never_kept_needs_no_unlearning(
    place: Path, measured: Result, tmp_path: Path
) -> None:
    run, own = unmarked(place, tmp_path)
    first = truth_melts_s(run) + 1
    words = [str(run), "--force", "--source", str(own)]
    CliRunner().invoke(mark, [*words, "--at", f"{first:.1f}", "--accept"])
    CliRunner().invoke(mark, [*words, "--at", f"{first + 20:.1f}", "--seen", "last_melt"])
    (tmp_path / "own.candidate.toml").unlink()
    told = CliRunner().invoke(mark, [str(run), "--undo", "--source", str(own)]).stdout
    assert "still knows" not in told
    told = CliRunner().invoke(mark, [str(run), "--undo", "--source", str(own)]).stdout
    assert "still knows" in told


def test_a_marked_run_peaked_where_its_verdict_has_it(
    place: Path, measured: Result, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """What marking tells of a run's board and what its verdict estimates: two views."""

    def said(*words: str) -> dict[str, Any]:
        run_main([*words, "--json"])
        found: dict[str, Any] = json.loads(capsys.readouterr().out)
        return found

    own = str(place / "earlier" / "mine.g1.toml")
    ran = said("run", "--on", "sim:toaster", "--source", own, "--out", str(tmp_path))
    record = Path(ran["record"])
    peak_c = ran["true_peak_board_c"]
    at = f"{truth_melts_s(record) + 1:.1f}"
    marked = said("mark", str(record), "--at", at, "--source", own)
    judged = said("judge", str(record))
    half_k = (judged["peak_board_high_c"] - judged["peak_board_low_c"]) / 2
    apart_k = abs(marked["peak_board_c"] - judged["peak_board_c"])
    assert apart_k <= min(marked["peak_band_k"], half_k)
    assert abs(marked["peak_board_c"] - peak_c) <= 1.5 * marked["peak_band_k"]
    assert abs(judged["peak_board_c"] - peak_c) <= 1.5 * half_k
