"""A record through the core again: the same bits, or the place where they are not the same."""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from heatcontroller.states import BY_HOST
from heatcore import codes, line
from heatcore.inputs import OPEN
from heatcore.plan import CRC_DIGITS
from heatcore.plan import write as write_plan
from heatsim.loop import Rig, SimulatedController
from heatsim.plant import Plant
from heatsim.sensor import Sensor
from heatwright.__main__ import run as heatwright
from heatwright.commands.replay import command
from heatwright.documents import load_source, locate
from heatwright.records import folder, lines, reader
from heatwright.records.writer import RecordWriter
from heatwright.replaying.replay import plan_of, replay
from short_plan import SHORT

Line = list[Any]
Meddle = Callable[[SimulatedController, int], None]


def leave_alone(controller: SimulatedController, tick: int) -> None:
    return


def record_run(place: Path, plan: dict[str, Any] = SHORT, meddle: Meddle = leave_alone) -> Path:
    """One run of a plan on a simulated toaster, ``meddle`` called before each tick."""
    place.mkdir(parents=True)
    data = write_plan(plan)
    (place / folder.PLAN).write_bytes(data)
    plant = Plant(load_source("toaster").plant_params())
    with RecordWriter(place / folder.RECORD, {"name": plan["name"], "placing": "air"}) as writer:
        controller = SimulatedController(
            Rig(plant, Sensor("max31855", noise_k=0.2, seed=5)), writer.write
        )
        assert controller.arm(controller.put(data)) is None
        assert controller.start() is None
        for tick in range(20_000):
            if controller.is_over:
                break
            meddle(controller, tick)
            controller.tick()
    return place


@pytest.fixture(scope="module")
def plain(tmp_path_factory) -> Path:
    return record_run(tmp_path_factory.mktemp("plain") / "run")


def again(place: Path):
    record = reader.read(place)
    return replay(record, plan_of((place / folder.PLAN).read_bytes(), "plan"))


def test_a_run_comes_out_bit_for_bit(plain: Path) -> None:
    found = again(plain)
    assert found.difference is None
    assert found.ticks > 300
    assert found.replayed_sha256 == found.recorded_sha256 == reader.read(plain).trace_sha256


def stopped(controller: SimulatedController, tick: int) -> None:
    if tick == 120:
        controller.stop()


def marked(controller: SimulatedController, tick: int) -> None:
    if tick == 150:
        controller.mark()
    if tick == 170:
        controller.unmark()


def sensor_lost(controller: SimulatedController, tick: int) -> None:
    controller.rig.sensor.status = OPEN if tick >= 130 else 0


def sensor_flickers(controller: SimulatedController, tick: int) -> None:
    controller.rig.sensor.status = OPEN if tick % 37 == 0 else 0


@pytest.mark.parametrize("meddle", [stopped, marked, sensor_lost, sensor_flickers])
def test_whatever_happens_on_the_way_comes_out_again(tmp_path: Path, meddle: Meddle) -> None:
    found = again(record_run(tmp_path / "run", meddle=meddle))
    assert found.difference is None
    assert found.replayed_sha256 == found.recorded_sha256


def test_the_cases_are_what_they_say(tmp_path: Path) -> None:
    codes_of = {}
    for name, meddle in (("stopped", stopped), ("marked", marked), ("lost", sensor_lost)):
        record = reader.read(record_run(tmp_path / name, meddle=meddle))
        codes_of[name] = [(event.code, event.seen) for event in record.events]
    assert (codes.EVENT_STOP, BY_HOST) in codes_of["stopped"]
    assert codes.EVENT_UNMARK in [code for code, _ in codes_of["marked"]]
    assert OPEN in [code for code, _ in codes_of["lost"]]


def test_a_wait_for_a_mark_that_never_comes_is_replayed(tmp_path: Path) -> None:
    plan = SHORT | {"waits": [[60_000, "mark", 0, 5_000, 100]]}
    place = record_run(tmp_path / "run", plan)
    assert codes.EVENT_NOT_MELTED in [event.code for event in reader.read(place).events]
    assert again(place).difference is None


def altered(place: Path, to: Path, change: Callable[[Line], Line | None]) -> Path:
    """The same run with each line passed through ``change``; None leaves the line away."""
    to.mkdir()
    shutil.copy(place / folder.PLAN, to)
    pieces = (place / folder.RECORD).read_bytes().splitlines()
    kept = [one for piece in pieces if (one := change(line.decode(piece) or [])) is not None]
    (to / folder.RECORD).write_bytes(b"".join(line.encode(one) for one in kept))
    return to


def field(values: Line, name: str) -> int:
    return 1 + lines.SAMPLE_FIELDS.index(name)


def test_the_first_difference_is_shown_with_its_time_and_both_values(plain, tmp_path) -> None:
    def hotter(values: Line) -> Line:
        if values[0] == "s" and values[2] in (20_000, 30_000):
            values[field(values, "duty")] += 7
        return values

    found = again(altered(plain, tmp_path / "run", hotter))
    assert found.difference is not None
    assert (found.difference.time_s, found.difference.field) == (20.0, "duty")
    assert int(found.difference.recorded) == int(found.difference.replayed) + 7
    assert found.replayed_sha256 == reader.read(plain).trace_sha256
    assert found.recorded_sha256 != found.replayed_sha256


def test_ticks_that_are_missing_are_counted(plain: Path, tmp_path: Path) -> None:
    def lost(values: Line) -> Line | None:
        return None if values[0] == "s" and values[2] in (0, 10_000, 10_250) else values

    place = altered(plain, tmp_path / "run", lost)
    assert again(place).missing_ticks == 3
    assert "3 ticks missing" in said(place).stdout
    assert again(plain).missing_ticks == 0


def test_a_reading_that_was_altered_changes_what_the_core_does(plain, tmp_path) -> None:
    def warmer(values: Line) -> Line:
        if values[0] == "s" and values[2] == 20_000:
            values[field(values, "sensor_mc")] += 500
        return values

    found = again(altered(plain, tmp_path / "run", warmer))
    assert found.difference is not None
    assert found.difference.time_s == pytest.approx(20.0, abs=0.5)


def test_an_event_that_was_left_out_is_a_difference(plain: Path, tmp_path: Path) -> None:
    def no_soak(values: Line) -> Line | None:
        return None if values[0] == "e" and values[3:5] == [codes.EVENT_STAGE, 1] else values

    found = again(altered(plain, tmp_path / "run", no_soak))
    assert found.difference is not None
    assert found.difference.field == "event"
    assert found.difference.replayed.startswith("stage 1 0 at 40")


def test_heat_after_the_end_is_a_difference(tmp_path: Path) -> None:
    place = record_run(tmp_path / "one", meddle=sensor_lost)
    end_ms = int(reader.read(place).raw["now_ms"][-1])

    def heats(values: Line) -> Line:
        if values[0] == "s" and values[2] == end_ms:
            values[field(values, "relay")] = 1
        return values

    found = again(altered(place, tmp_path / "two", heats))
    assert found.difference is not None
    assert (found.difference.field, found.difference.recorded) == ("relay", "1")


def said(*words: object) -> Result:
    return CliRunner().invoke(command, [str(word) for word in words], catch_exceptions=False)


def test_the_command_says_same_with_0_and_different_with_3(plain, tmp_path) -> None:
    done = said(plain)
    assert done.exit_code == 0
    assert "bit for bit" in done.stdout
    document = json.loads(said(plain, "--json").stdout)
    assert (document["same"], document["first_difference"]) == (True, None)
    assert document["trace_sha256"] == document["replayed_trace_sha256"]
    cut = altered(plain, tmp_path / "run", lambda v: None if v[:1] == ["e"] else v)
    done = said(cut)
    assert done.exit_code == 3
    assert "Not the same: first at 0 s, event: recorded none" in done.stdout


def test_another_plan_on_the_same_readings_and_on_the_fitted_source(plain, tmp_path) -> None:
    place = tmp_path / "run"
    shutil.copytree(plain, place)
    for kind, name in (("paste", "sac305"), ("source", "toaster")):
        shutil.copy(locate(kind, name), place / f"{kind}.toml")
    hotter = SHORT | {"name": "hotter", "y_mc": [25_000, 70_000, 80_000, 30_000]}
    other = tmp_path / "other.json"
    other.write_bytes(write_plan(hotter))
    picture = tmp_path / "other.png"
    done = said(place, "--plan", other, "--out", picture, "--json")
    assert done.exit_code == 0
    document = json.loads(done.stdout)
    assert document["plan"] == "hotter"
    assert document["first_difference_s"] < 5
    recorded, hot = (one["simulated_peak_board_c"] for one in document["on_fitted_source"])
    assert hot > recorded + 2
    assert picture.read_bytes().startswith(b"\x89PNG")
    # its own plan differs in nothing
    same = json.loads(said(place, "--plan", place, "--out", picture, "--json").stdout)
    assert same["first_difference_s"] is None
    assert "the very same" in said(place, "--plan", place, "--out", picture).stdout


def test_without_a_source_nobody_knows_the_board(plain: Path, tmp_path: Path) -> None:
    done = said(plain, "--plan", plain, "--out", tmp_path / "x.png")
    assert "No source.toml" in done.stdout


def test_what_cannot_be_replayed_is_refused(plain, tmp_path, capsys) -> None:
    thin = altered(plain, tmp_path / "thin", lambda v: v if v[0] == "h" or v[1] % 16 < 2 else None)
    for name, data in (("none", None), ("broken", b"{}\n00000000")):
        shutil.copytree(plain, tmp_path / name)
        (tmp_path / name / folder.PLAN).unlink()
        if data:
            (tmp_path / name / folder.PLAN).write_bytes(data)
    wanted = {
        "thin": "every tick",
        "none": "no plan to replay",
        "broken": "not a plan",
        "nowhere": "no such record",
    }
    assert thin.is_dir()
    for name, words in wanted.items():
        assert heatwright(["replay", str(tmp_path / name)]) == 2
        assert words in capsys.readouterr().err
    assert heatwright(["replay", str(plain), "--plan", str(tmp_path / "no.json")]) == 2
    assert CRC_DIGITS == 8
