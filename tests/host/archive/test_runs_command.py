"""``heatwright runs`` as a person calls it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from heatwright import assets
from heatwright.__main__ import run as heatwright
from heatwright.commands.runs import command
from heatwright.records import reader
from host.archive.runs_made import run
from records_made import GOOD, corners, write

IDS = ["20260304-123015-b", "20260301-080000-a"]


@pytest.fixture
def kept(tmp_path: Path, monkeypatch) -> Path:
    monkeypatch.chdir(tmp_path)
    run(tmp_path / "runs", IDS[1], board="Bat-call logger", paste="SAC305")
    run(tmp_path / "runs", IDS[0], verdict="likely_pass", board="Lamp", paste="SAC305")
    return tmp_path / "runs"


def said(*words: str) -> Result:
    return CliRunner().invoke(command, list(words), catch_exceptions=False)


def test_list_in_words_and_as_json(kept: Path) -> None:
    told = said("list").stdout.splitlines()
    assert [row.split()[0] for row in told[:2]] == IDS
    assert "likely pass" in told[0]
    assert "242 °C" in told[0]
    document = json.loads(said("list", "--board", "bat", "--json").stdout)
    assert document["schema_version"] == 1
    assert [one["id"] for one in document["runs"]] == IDS[1:]
    assert said("list", "--last", "1").stdout.splitlines()[-1] == "1 runs."
    assert said("list", "--since", "2026-03-02").stdout.startswith(IDS[0])


def test_show(kept: Path) -> None:
    told = said("show", IDS[1]).stdout
    for part in ("Bat-call logger", "SAC305", "record.txt", "verdict.json"):
        assert part in told
    assert json.loads(said("show", IDS[1], "--json").stdout)["board"] == "Bat-call logger"


def test_compare_makes_a_picture_and_says_the_verdicts(tmp_path: Path, monkeypatch) -> None:
    monkeypatch.chdir(tmp_path)
    paste = (assets.profiles() / "pastes" / "sac305.toml").read_bytes()
    for name, scale, placing in (("one", 1.0, "on_board"), ("two", 0.8, "air")):
        Path("runs", name).mkdir(parents=True)
        write(Path("runs", name, "record.txt"), scale * corners(GOOD)[1], placing=placing)
        Path("runs", name, "paste.toml").write_bytes(paste)
    told = said("compare", "one", "two")
    assert "one   board: pass   peak 242 °C" in told.stdout
    assert "two   sensor: unknown" in told.stdout
    assert Path("compared.png").read_bytes().startswith(b"\x89PNG")
    document = json.loads(said("compare", "one", "two", "--out", "x.png", "--json").stdout)
    assert [one["verdict"]["verdict"] for one in document["runs"]] == ["pass", "unknown"]
    assert [one["curve_of"] for one in document["runs"]] == ["board", "sensor"]


def test_import_shows_asks_and_judges(kept: Path, tmp_path: Path) -> None:
    time_s, board_c = corners(GOOD, 1.0)
    rows = "".join(
        f"{t:g};{c:.2f}\n".replace(".", ",") for t, c in zip(time_s, board_c, strict=True)
    )
    Path("bake.csv").write_text(f"Zeit;PCB temp\n{rows}")
    shown = said("import", "bake.csv", "--preview")
    assert "25 to 242 °C" in shown.stdout
    assert "decimal comma" in shown.stdout
    assert len(list(kept.glob("*-bake"))) == 0
    asked = said("import", "bake.csv")
    assert (asked.exit_code, "--yes" in asked.stderr) == (2, True)
    done = said("import", "bake.csv", "--yes", "--paste", "sac305")
    assert "pass: Melted: the board peaked at 242 °C" in done.stdout
    (place,) = kept.glob("*-bake")
    assert {"record.txt", "original.csv", "paste.toml", "verdict.json", "curve.png"} == {
        path.name for path in place.iterdir()
    }


def test_export_to_the_screen_and_to_a_file(kept: Path) -> None:
    text = said("export", IDS[0]).stdout
    assert text.splitlines()[:2] == [
        "time_s,sensor_c,board_c,target_c,duty,door,stage,where",
        "0,25,,25,0,,preheat,",
    ]
    assert said("export", IDS[0], "--to", "json", "--out", "run.json").exit_code == 0
    document = json.loads(Path("run.json").read_text())
    assert document["columns"]["sensor_c"] == [25, 26, 27]
    assert document["columns"]["board_c"] == [None, None, None]
    assert document["units"]["sensor_c"] == "degrees Celsius"
    assert document["trace_sha256"] == reader.read(kept / IDS[0]).trace_sha256


def test_reindex_and_trash(kept: Path) -> None:
    assert said("reindex").stdout == "2 runs.\n"
    assert said("trash", IDS[0]).exit_code == 0
    assert IDS[0] in said("trash").stdout
    assert IDS[0] not in said("list").stdout
    assert said("trash", "--restore", IDS[0]).exit_code == 0
    assert IDS[0] in said("list").stdout


BAD = [
    (["list", "--archive", "nowhere"], "there is no archive"),
    (["list", "--since", "yesterday"], "yesterday"),
    (["show", "nothing"], "no run is called nothing"),
    (["compare", IDS[0]], "two to 6 runs"),
    (["compare", IDS[0], "nothing"], "no run is called"),
    (["export", IDS[0], "--out", "there.csv"], "exists already"),
    (["import", "nowhere.csv"], "No such file"),
    (["import", "there.csv", "--paste", "sac3O5"], "too few rows"),
    (["trash", "nothing"], "no run is called"),
    (["trash", "--restore", IDS[0]], "no archive"),
]


@pytest.mark.parametrize(("words", "what"), BAD)
def test_what_is_wrong_is_said_and_ends_with_2(kept: Path, capsys, words, what) -> None:
    Path("there.csv").write_text("time,temp\n")
    assert heatwright(["runs", *words]) == 2
    told = capsys.readouterr()
    assert what in told.err
    assert "Traceback" not in told.err
