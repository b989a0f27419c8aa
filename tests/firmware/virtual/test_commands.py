"""The commands that a person types, against a virtual board at its port."""

import json
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest

from heatwright.__main__ import run
from heatwright.commissioning.kept import plans
from heatwright.errors import EXIT_BAD_INPUT, EXIT_NO_CONTROLLER
from heatwright.records.reader import read
from heatwright.running.link_client import LinkClient, SerialTarget
from heatwright.running.ports import open_port
from virtual_made import ServedBoard, put_firmware, track_plan

SPEED = 40.0


@pytest.fixture(scope="module")
def board(tmp_path_factory: pytest.TempPathFactory) -> Iterator[ServedBoard]:
    with ServedBoard(put_firmware(tmp_path_factory.mktemp("chip")), speed=SPEED) as served:
        yield served


def test_run_on_port_records_a_whole_run(
    board: ServedBoard, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    plan = tmp_path / "plan.json"
    plan.write_bytes(track_plan(120.0, 20))
    code = run(["run", "--on", board.port, "--plan", str(plan), "--out", str(tmp_path), "--json"])
    shown = capsys.readouterr()
    told = json.loads(shown.out)
    # nothing stands in its log yet: it is new to this person
    assert "heatwright cold-check --port" in shown.err
    assert "door shut, plug out, no water" in shown.err
    assert told["outcome"] == "finished"
    assert told["trip"] is None
    # the board is not known where no bead sits on it, whatever the sensor read
    assert (told["verdict"], code) == ("unknown", 3)
    record = read(Path(told["record"]))
    assert 115 < record.sensor_c.max() < 130
    assert record.header["chip"] == "rp2"


def test_hello_plans_log_and_clear(
    board: ServedBoard, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["controller", "hello", "--port", board.port, "--json"]) == 0
    hello = json.loads(capsys.readouterr().out)
    assert hello["state"] == "idle"
    assert hello["hard_timer"] is False
    assert run(["controller", "plans", "--port", board.port]) == 0
    assert "kettle" in capsys.readouterr().out
    assert run(["controller", "log", "--port", board.port]) == 0
    assert "run 1" in capsys.readouterr().out
    kept = tmp_path / "kept.txt"
    assert run(["controller", "log", "--port", board.port, "1", "--out", str(kept)]) == 0
    assert len(kept.read_bytes().splitlines()) > 100
    assert run(["controller", "clear", "--port", board.port, "--yes"]) == 0
    assert "nothing to clear: idle" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("words", "what", "found"),
    [
        (("plans", "--remove", "zzz"), "no such plan is kept on it", "zzz"),
        (("log", "99"), "no such run is in its log", "99"),
    ],
)
def test_what_is_not_kept_is_bad_input(
    board: ServedBoard, capsys: pytest.CaptureFixture[str], words: tuple[str, ...], what: str,
    found: str,
) -> None:  # fmt: skip
    command, *rest = words
    assert run(["controller", command, "--port", board.port, *rest]) == EXIT_BAD_INPUT
    said = capsys.readouterr().err
    assert what in said
    assert f"found: {found}" in said
    assert f"heatwright controller {command} --port {board.port} lists them" in said


def test_a_kept_plan_is_removed(board: ServedBoard, capsys: pytest.CaptureFixture[str]) -> None:
    client = LinkClient(open_port(board.port), board.port)
    with closing(client):
        client.hello()  # numbers of questions begin anew
        SerialTarget(client).put(track_plan(90.0, 10))
        kept = [plan.id for plan in plans(client)]
    for plan_id in kept:
        assert run(["controller", "plans", "--port", board.port, "--remove", plan_id]) == 0
    assert run(["controller", "plans", "--port", board.port]) == 0
    assert "No plan is kept on it." in capsys.readouterr().out


def test_a_port_that_is_not_there(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["controller", "hello", "--port", "/dev/ttyNOTHING"]) == EXIT_NO_CONTROLLER
    assert "there is no such port" in capsys.readouterr().err


def test_a_port_that_another_program_has(
    board: ServedBoard, capsys: pytest.CaptureFixture[str]
) -> None:
    held = open_port(board.port)
    try:
        assert run(["controller", "hello", "--port", board.port]) == EXIT_NO_CONTROLLER
    finally:
        held.close()
    assert "another program has this port open" in capsys.readouterr().err


def test_a_choice_of_no_case_at_all_passes_nothing(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["hil", "--port", "/dev/ttyNOTHING", "--only", "soup"]) == EXIT_BAD_INPUT
    assert "an open sensor trips" in capsys.readouterr().err
