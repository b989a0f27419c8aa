"""The demo: a plain run, a measured and planned one, one picture, three commands that work."""

import json
import os
import shlex
from pathlib import Path

import pytest
from click.testing import CliRunner

from heatwright.commands import demo, main
from heatwright.documents import load_paste, load_source
from heatwright.measuring.measurement import from_record
from heatwright.records.melt_marks import marks_of
from heatwright.records.reader import read
from heatwright.running.execute import judged


@pytest.fixture(scope="module")
def shown(tmp_path_factory):
    folder = tmp_path_factory.mktemp("demo")
    here = Path.cwd()
    os.chdir(folder)
    try:
        result = CliRunner().invoke(demo.command, ["--headless", "--json"])
        yield folder, result, json.loads(result.stdout)
    finally:
        os.chdir(here)


def test_left_the_paste_never_melts_right_it_does(shown):
    _, result, told = shown
    assert result.exit_code == 0
    left, right = told["left"], told["right"]
    assert left["true_peak_board_c"] < 217
    assert left["verdict"] == "unknown"
    assert right["peak_board_c"] > 235
    assert right["verdict"] in ("pass", "likely_pass", "warn")
    # nobody's bead was on the board: what is said of it comes from the mark
    assert right["board_from"] == "estimated"
    assert right["peak_board_low_c"] < right["true_peak_board_c"] < right["peak_board_high_c"]


def test_the_source_was_measured_here_with_one_mark(shown):
    folder, _, _ = shown
    source = load_source(folder / "demo" / demo.SOURCE)
    assert len(source.learnt_from) == 1
    assert source.marked_from == source.learnt_from
    places = [path.parent for path in (folder / "demo").glob("*/record.txt")]
    (measuring,) = [at for at in places if from_record(read(at)).sha256 in source.learnt_from]
    record = read(measuring)
    (mark,) = marks_of(record)
    melted_s = record.truth.time_s[record.truth.small_c >= load_paste("sac305").liquidus_c][0]
    assert 0.0 < mark.time_s - melted_s < 4.0


def test_the_picture_is_there_and_wide(shown):
    folder, _, told = shown
    data = (folder / told["picture"]).read_bytes()
    assert data.startswith(b"\x89PNG")
    width, height = (int.from_bytes(data[at : at + 4], "big") for at in (16, 20))
    assert width > 2 * height


def test_each_command_to_try_works_as_it_stands(shown):
    _, _, told = shown
    assert len(told["commands"]) == 3
    for line in told["commands"]:
        program, *arguments = shlex.split(line)
        assert program == "heatwright"
        result = CliRunner().invoke(main, arguments)
        assert result.exit_code == 0, result.output


def test_what_a_person_reads(shown, monkeypatch):
    folder, _, told = shown
    for side in ("left", "right"):
        report = judged(folder / told[side]["record"], False, print)
        monkeypatch.setattr(demo, f"_{side}", lambda out, report=report: report)
    result = CliRunner().invoke(demo.command, ["--headless"])
    assert "the sensor looks right, the board peaks at 2" in result.stdout.lower()
    assert "the paste never melted." in result.stdout
    assert "Melted: the board peaked at" in result.stdout
    # three commands to try, and the page
    assert result.stdout.count("heatwright ") == 4
    assert "The picture: demo/demo.png" in result.stdout
