"""Guided runs, see-it-melt and the question at the peak on the firmware itself, in virtual time.

The person sees the board, as a person does; nothing of its truth reaches host or controller.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np
import pytest

from heatcore import codes
from heatsim.plant import Plant
from heatsim.sensor import Sensor
from heatsim.virtual.chip import ChipSetup
from heatsim.virtual.lockstep import LockstepController
from heatsim.virtual.pins import shipped_pins
from heatsim.virtual.workshop import Workshop
from heatwright import sentences
from heatwright.__main__ import run as main
from heatwright.documents import load_source
from heatwright.measuring import learning, measurement, plausible
from heatwright.measuring.measurement import BOARD_BEAD
from heatwright.records.melt_marks import marks_of
from heatwright.records.reader import Record, read
from heatwright.running import execute
from heatwright.running.guided import Guided, Means, run_guided, run_see_melt
from heatwright.running.job import Asked, prepare
from heatwright.running.session import Orders, Watch
from heatwright.running.target import Line
from virtual_made import PINS, ServedBoard, put_firmware, target

ROOM = "virtual"
# Simulated seconds a second: a busy laptop must still answer within the host's lease.
PORT_SPEED = 20.0


class Bench:
    """One controller with a source at it, and the person who watches both."""

    def __init__(self, root: Path, kind: str, reads: str = "sensor", **pins: int | None) -> None:
        wired = PINS | {"DOOR_PIN": 3} | pins
        plant = Plant(load_source(kind).plant_params())
        sensor = Sensor(noise_k=0.15, seed=1)
        self.shop = Workshop(
            plant, shipped_pins() | wired, sensor=sensor, reads=reads, attends=False
        )
        self.controller = LockstepController(ChipSetup(put_firmware(root, **wired)), self.shop)
        self.said: list[str] = []

    @property
    def board_c(self) -> float:
        return self.shop.temperatures["board"]

    def means(self, overseen: execute.Overseer = execute.alone) -> Means:
        return Means(connect=lambda job: target(self.controller), overseen=overseen)


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[Callable[..., Bench]]:
    made: list[Bench] = []

    def make(*what: str, **pins: int | None) -> Bench:
        made.append(Bench(tmp_path / "chip", *what, **pins))
        made[-1].controller.__enter__()
        return made[-1]

    yield make
    for one in made:
        one.controller.__exit__(None, None, None)


class Person:
    """Presses when asked whether anybody is there, and marks the melt on seeing it."""

    def __init__(self, bench: Bench, stays: bool = True) -> None:
        self.bench, self.stays, self.asked, self.marks = bench, stays, 0, True
        self.presses = 0

    def with_them(self, show: Watch, orders: Orders) -> tuple[Watch, Orders]:
        return self, self

    def __call__(self, line: Line) -> None:
        self.asked += line[0] == "s" and line[-1] == codes.NOTE_WAIT_PRESS

    def waiting(self) -> Iterator[str]:
        if self.asked and self.stays:
            self.asked, self.presses = 0, self.presses + 1
            yield "start"
        if self.marks and self.bench.board_c >= 219.0:
            self.marks = False
            yield "mark"


def asked_at_s(record: Record) -> np.ndarray:
    """When presence was asked for anew."""
    asking = record.raw["note"] == codes.NOTE_WAIT_PRESS
    times: np.ndarray = record.time_s[1:][asking[1:] & ~asking[:-1]]
    return times


def test_see_it_melt_ends_soon_after_the_mark(bench: Callable[..., Bench], tmp_path: Path) -> None:
    on = bench("toaster")
    person = Person(on)
    place = run_see_melt(
        Guided(ROOM, "toaster"), tmp_path, on.said.append, on.means(person.with_them)
    )
    record = read(place)
    (mark,) = marks_of(record)
    off_s = record.time_s[record.duty > 0][-1]
    assert 19.0 <= off_s - mark.time_s <= 22.0
    assert sentences.PARTLY_MELTED in on.said
    # asked every half minute, from before the board was warm until the mark
    asked_s = asked_at_s(record)
    assert len(asked_s) > 5
    assert person.presses >= len(asked_s)
    assert np.diff(asked_s).max() < 35.0


def test_see_it_melt_with_nobody_there_has_no_heat(
    bench: Callable[..., Bench], tmp_path: Path
) -> None:
    on = bench("toaster")
    person = Person(on, stays=False)
    place = run_see_melt(
        Guided(ROOM, "toaster"), tmp_path, on.said.append, on.means(person.with_them)
    )
    record = read(place)
    off_s = record.time_s[record.duty > 0][-1]
    assert off_s - asked_at_s(record)[0] <= 16.0
    assert marks_of(record) == []
    assert sentences.NOT_MELTED_YET in on.said


@pytest.mark.parametrize("switch", [10, None])
def test_a_guided_run_is_learnt_from(
    switch: int | None, bench: Callable[..., Bench], tmp_path: Path
) -> None:
    """With no switch at the door, it is taken to open a moment after the controller asks for it."""
    on = bench("drawer", "board_sensor", DOOR_SWITCH_PIN=switch)
    guided = Guided(ROOM, "drawer", "board_sensor")
    run = measurement.load(run_guided(guided, tmp_path, on.said.append, on.means()))
    learnt = learning.learn(load_source("drawer"), [run])
    assert learnt.held_out.rms_c < 2.0
    assert learnt.held_out.fit_percent > 97.0
    assert run.door.sum() * 0.25 > 200.0
    assert any("no switch" in said for said in run.statements) == (switch is None)


def test_measure_by_the_command_at_a_port(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The command, the link, a pseudo-terminal, the firmware, and a servo that opens the door."""
    out = tmp_path / "mine.toml"
    plant = Plant(load_source("drawer").plant_params())
    sensor = Sensor(noise_k=0.15, seed=1)
    pins = PINS | {"DOOR_PIN": 3}
    shop = Workshop(plant, shipped_pins() | pins, sensor=sensor, reads=BOARD_BEAD, attends=False)
    words = ["--kind", "drawer", "--sensor", BOARD_BEAD, "--runs", str(tmp_path / "runs")]
    with ServedBoard(put_firmware(tmp_path / "chip", **pins), shop, PORT_SPEED) as board:
        code = main(["measure", "--on", board.port, *words, "--out", str(out), "--json"])
    told = json.loads(capsys.readouterr().out)
    assert code == 0
    # a busy laptop lets the chip stutter, its pin left as it was; how well a run in step is learnt
    # stands above
    assert told["fit_percent"] > 85.0
    assert Path(told["source"]) == tmp_path / "mine.candidate.toml"
    assert not out.exists()
    (run,) = (tmp_path / "runs").iterdir()
    assert read(run).header["on"] == board.port
    assert load_source(tmp_path / "mine.candidate.toml").learnt_from == [
        measurement.load(run).sha256
    ]


def test_the_question_at_the_peak(bench: Callable[..., Bench], tmp_path: Path) -> None:
    """Not yet holds the heat, melted ends it; both are learnt from."""
    on = bench("toaster", "board_sensor")
    job = prepare(Asked(on=ROOM, source="toaster", sensor="board_sensor"))
    answers = Answers({2.0: "not_melted", 20.0: "mark"})
    report = execute.execute(
        job, target(on.controller), tmp_path, on.said.append, answers.with_them
    )
    assert [mark.seen for mark in marks_of(report.record)] == ["not_melted", "first_melt"]
    assert answers.asked_ms is not None
    cooling_s = report.record.time_s[report.record.stage == codes.RAMP_DOWN][0]
    assert 19.0 <= cooling_s - answers.asked_ms / 1000 <= 23.0
    assert report.trip is None
    assert on.board_c < plausible.CEILING_C


class Answers:
    """Says each thing so many seconds after the question; is there when asked for."""

    def __init__(self, answers: dict[float, str]) -> None:
        self.answers = answers
        self.asked_ms: int | None = None
        self.now_ms = 0
        self.is_asked_for = False

    def with_them(self, show: Watch, orders: Orders) -> tuple[Watch, Orders]:
        return self, self

    def __call__(self, line: Line) -> None:
        if line[0] == "s":
            self.now_ms = line[2]
            self.is_asked_for = line[-1] == codes.NOTE_WAIT_PRESS
            if line[-1] == codes.NOTE_WAIT_MARK and self.asked_ms is None:
                self.asked_ms = self.now_ms

    def waiting(self) -> Iterator[str]:
        if self.is_asked_for:
            self.is_asked_for = False
            yield "start"
        if self.asked_ms is None:
            return
        since_s = (self.now_ms - self.asked_ms) / 1000
        for seconds in [s for s in self.answers if since_s >= s]:
            yield self.answers.pop(seconds)
