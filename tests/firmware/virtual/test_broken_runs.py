"""`run --fault` of the chip's own faults, against a virtual board at its port."""

import json
from pathlib import Path

import pytest

from heatsim.virtual.frames import POWER_ON, WATCHDOG
from heatwright.__main__ import run
from heatwright.errors import EXIT_BAD_INPUT, EXIT_TRIPPED
from heatwright.records.reader import read
from virtual_made import ServedBoard, put_firmware, track_plan

SPEED = 40.0
STRUCK_S = 30.0


@pytest.fixture
def struck(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    """Exit code, document, record and resets of a run with this fault."""

    def struck_by(name: str):
        plan = tmp_path / "plan.json"
        plan.write_bytes(track_plan(120.0, 20))
        words = ["--plan", str(plan), "--out", str(tmp_path), "--json"]
        with ServedBoard(put_firmware(tmp_path / "chip"), speed=SPEED) as served:
            fault = f"{name}@{STRUCK_S:g}"
            code = run(["run", "--on", served.port, "--fault", fault, *words])
            resets = served.board.resets
        told = json.loads(capsys.readouterr().out)
        return code, told, read(Path(told["record"])), resets

    return struck_by


@pytest.mark.parametrize(
    ("name", "cause"), [("controller-hung", WATCHDOG), ("power-loss", POWER_ON)]
)
def test_a_controller_that_restarts_in_a_run_is_told_as_a_trip(struck, name, cause) -> None:
    code, told, record, resets = struck(name)
    assert code == EXIT_TRIPPED
    assert resets == [cause]
    assert told["trip"]["code"] == "power_lost"
    assert STRUCK_S <= told["trip"]["at_s"] <= STRUCK_S + 5.0
    assert record.header["faults"] == f"{name}@{STRUCK_S:g}"
    # what went on being recorded shows a heater that stayed off
    late = record.time_s > STRUCK_S + 5.0
    assert late.sum() > 100
    assert not record.duty[late].any()


def test_garbage_both_ways_changes_nothing(struck) -> None:
    _, told, record, resets = struck("frame-corrupt")
    assert resets == []
    assert told["trip"] is None
    assert told["outcome"] == "finished"
    assert 115 < record.sensor_c.max() < 130


def test_what_the_board_can_not_break_is_refused(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    plan = tmp_path / "plan.json"
    plan.write_bytes(track_plan(120.0, 20))
    with ServedBoard(put_firmware(tmp_path / "chip"), speed=SPEED) as served:
        words = ["--plan", str(plan), "--fault", "relay-shorted@20"]
        assert run(["run", "--on", served.port, *words]) == EXIT_BAD_INPUT
    assert "sim:NAME" in capsys.readouterr().err
