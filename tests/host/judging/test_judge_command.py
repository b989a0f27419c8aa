"""``heatwright judge`` as a person calls it: words, JSON, exit codes, bad input."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

from heatwright import assets
from heatwright.__main__ import run
from heatwright.commands.judge import command
from heatwright.records import folder
from records_made import GOOD, corners, write

BOARD_C = corners(GOOD)[1]


@pytest.fixture
def good(tmp_path: Path) -> Path:
    made = tmp_path / "run"
    made.mkdir()
    write(made / "record.txt", BOARD_C, placing="on_board")
    return made


def heatwright(*arguments: object) -> subprocess.CompletedProcess[str]:
    words = [sys.executable, "-m", "heatwright", *map(str, arguments)]
    return subprocess.run(words, capture_output=True, text=True, check=False)


def test_a_good_run_opens_with_its_sentence_and_ends_with_0(good: Path) -> None:
    result = CliRunner().invoke(command, [str(good), "--paste", "sac305"])
    assert result.exit_code == 0
    assert result.stdout.startswith("pass: Melted: the board peaked at 242 °C")
    rows = [row for row in result.stdout.splitlines() if row.startswith("  ")]
    assert [row.split("  ")[1] for row in rows][:3] == ["peak", "time above liquidus", "soak"]
    assert "242 °C  235 to 250 °C" in rows[0]
    assert "look at every joint" in result.stdout


def test_json_is_one_document_alone_on_standard_output(good: Path) -> None:
    done = heatwright("judge", good / "record.txt", "--paste", "Sn96.5Ag3Cu0.5", "--json")
    document = json.loads(done.stdout)
    assert done.returncode == 0
    assert done.stderr == ""
    assert (document["schema_version"], document["verdict"]) == (1, "pass")
    assert (document["peak_board_c"], document["board_from"]) == (242.0, "measured")
    peak = document["measures"][0]
    assert (peak["name"], peak["value"], peak["unit"]) == ("peak", 242.0, "°C")
    assert (peak["low"], peak["high"], peak["margin"]) == (235.0, 250.0, 7.0)
    assert (peak["status"], peak["source"][:7]) == ("pass", "SAC305:")


def test_damage_is_told_on_standard_error(good: Path) -> None:
    with (good / "record.txt").open("ab") as file:
        file.write(b'["s",1')
    result = CliRunner().invoke(command, [str(good), "--paste", "sac305", "--json"])
    assert "Damaged lines of the record, left out: 1." in result.stderr
    assert json.loads(result.stdout)["damaged_lines"] == 1


@pytest.mark.parametrize(
    ("scale", "placing", "word"),
    [(0.8, "on_board", "fail: The paste never melted"), (1.0, "air", "unknown: Nobody knows")],
)
def test_fail_and_unknown_end_with_3(tmp_path: Path, scale: float, placing: str, word: str) -> None:
    write(tmp_path / "record.txt", scale * BOARD_C, placing=placing)
    result = CliRunner().invoke(command, [str(tmp_path), "--paste", "sac305"])
    assert result.exit_code == 3
    assert result.stdout.startswith(word)


def test_the_paste_in_the_folder_is_the_default(good: Path) -> None:
    leaded = assets.profiles() / "pastes" / "sn63pb37.toml"
    folder.put(good, folder.PASTE, leaded.read_bytes())
    result = CliRunner().invoke(command, [str(good), "--json"])
    assert json.loads(result.stdout)["paste"] == "Sn63Pb37"
    assert result.exit_code == 3  # 242 °C is far too hot for it


BAD = [
    (["nowhere", "--paste", "sac305"], "there is no such record"),
    (["empty", "--paste", "sac305"], "holds no record.txt"),
    (["garbage.txt", "--paste", "sac305"], "not a run's record"),
    (["run", "--paste", "sac3O5"], "sac305"),
    (["run", "--paste", "./missing.toml"], "missing.toml"),
    (["run"], "--paste sac305"),
    (["run", "--past", "sac305"], "--paste"),
    ([], "RECORD"),
]


@pytest.mark.parametrize(("arguments", "said"), BAD)
def test_bad_input_ends_with_2_and_says_what_would_be_right(
    good: Path, monkeypatch, capsys, arguments: list[str], said: str
) -> None:
    monkeypatch.chdir(good.parent)
    Path("empty").mkdir()
    Path("garbage.txt").write_bytes(bytes(range(256)) * 40)
    assert run(["judge", *arguments]) == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert said in told.err
    assert "Traceback" not in told.err


def test_the_process_itself_ends_with_2_and_no_traceback(tmp_path: Path) -> None:
    done = heatwright("judge", tmp_path / "nowhere", "--paste", "sac305")
    assert done.returncode == 2
    assert "there is no such record" in done.stderr
    assert "Traceback" not in done.stderr


def test_help_names_the_option_and_the_exit_code() -> None:
    result = CliRunner().invoke(command, ["--help"])
    assert "--paste NAME" in result.output
    assert "3" in result.output
