"""The demo: two runs, one picture, three commands that work."""

import json
import os
import shlex
from pathlib import Path

import pytest
from click.testing import CliRunner

from heatwright.commands import demo, main


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


def test_what_a_person_reads(shown):
    result = CliRunner().invoke(demo.command, ["--headless", "--out", "again"])
    assert "the sensor looks right, the board peaks at 2" in result.stdout.lower()
    assert "the paste never melted." in result.stdout
    assert "Melted: the board peaked at" in result.stdout
    # three commands to try, and the page
    assert result.stdout.count("heatwright ") == 4
    assert Path("again/demo.png").exists()
