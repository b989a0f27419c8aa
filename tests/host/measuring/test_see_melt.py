"""See-it-melt runs: who is refused, when heat ends, and what is said at the end."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

import records_made
from heatcore import codes
from heatcore.plan import read as read_plan
from heatsim.loop import Rig
from heatsim.params import PlantParams
from heatsim.plant import Plant
from heatsim.sensor import Sensor
from heatwright import sentences
from heatwright.documents import load_paste, load_source
from heatwright.measuring import plausible
from heatwright.planning.see_melt import NotSafe, see_melt_plan
from heatwright.records import melt_marks
from heatwright.records.melt_marks import Mark
from heatwright.records.reader import Record, read
from heatwright.records.writer import RecordWriter
from heatwright.running import see_melt, session
from heatwright.running.simulated import SimulatedTarget
from heatwright.running.target import Line


class Watcher:
    """A person who sees the board (the truth), marks its melt and says that they are there."""

    def __init__(self, marks: bool = True, stays: bool = True) -> None:
        self.board_c, self.marks, self.stays, self.asked = 25.0, marks, stays, 0

    def __call__(self, line: Line) -> None:
        if line[0] == "t":
            self.board_c = line[3] / 1000
        elif line[0] == "s" and line[-1] == codes.NOTE_WAIT_PRESS:
            self.asked += 1

    def waiting(self) -> Iterator[str]:
        if self.asked and self.stays:
            self.asked = 0
            yield "start"
        if self.marks and self.board_c >= 219.0:
            self.marks = False
            yield "mark"


@pytest.fixture(scope="module")
def plan() -> bytes:
    return see_melt_plan(load_source("toaster"), load_paste("sac305"))


def run(
    params: PlantParams, plan: bytes, person: Watcher, place: Path, hottest_c: float | None = None
) -> Record:
    """``hottest_c`` stands for the live ceiling's figure where a test is about other things."""
    plant = Plant(params)
    plant.reset(25.0)
    target = SimulatedTarget(Rig(plant, Sensor(), attends=False))
    session.arm(target, plan, read_plan(plan).id)
    watch = see_melt.SeeMelt(load_source("toaster"), person, person, lambda _: None)
    if hottest_c is not None:
        watch.look = lambda *_: hottest_c
    with RecordWriter(place / "record.txt", {"placing": "air"}) as writer:
        session.record(target, writer, watch, watch, print)
    return read(place / "record.txt")


def board_peak(record: Record) -> float:
    assert record.truth is not None
    return float(record.truth.board_c.max())


def toaster(**changes: float) -> PlantParams:
    return replace(load_source("toaster").plant_params(), **changes)


def test_a_drawer_with_an_air_sensor_is_refused_lead_free_and_not_bismuth() -> None:
    drawer = load_source("drawer")
    with pytest.raises(NotSafe, match="thermocouple on a scrap board"):
        see_melt_plan(drawer, load_paste("sac305"))
    assert read_plan(see_melt_plan(drawer, load_paste("sn42bi58"))).law == codes.DUTY


def test_heat_ends_soon_after_the_mark(plan: bytes, tmp_path: Path) -> None:
    record = run(toaster(), plan, Watcher(), tmp_path, 100.0)
    (mark,) = melt_marks.marks_of(record)
    off_s = record.time_s[record.duty > 0][-1]
    assert 19.0 <= off_s - mark.time_s <= 22.0
    assert 221.0 < board_peak(record) < 260.0


# A bead near the tubes reads some 50 K more, one in a cold corner far less, than the kind's own.
HIGH = {"sensor_element_share": 0.19}
LOW = {"sensor_element_share": 0.02, "sensor_liner_share": 0.0, "sensor_s": 30.0}


@pytest.mark.parametrize("felt", [HIGH, LOW])
def test_a_sensor_that_reads_wrong_neither_spoils_a_board_nor_keeps_it_from_melting(
    felt: dict[str, float], plan: bytes, tmp_path: Path
) -> None:
    """Nobody marks anything: the ceiling alone ends the heat."""
    record = run(toaster(**felt), plan, Watcher(marks=False), tmp_path)
    assert 220.0 < board_peak(record) < plausible.CEILING_C + 5.0


def test_no_press_no_heat(plan: bytes, tmp_path: Path) -> None:
    record = run(toaster(), plan, Watcher(stays=False), tmp_path, 100.0)
    assert codes.NOTE_NOT_CONFIRMED in record.raw["note"]
    assert board_peak(record) < 200.0


def test_the_ceiling_learns_from_the_run() -> None:
    """A weaker source than its kind, seen by its sensor: its hottest plausible board is cooler."""
    kind = load_source("toaster")
    run_, _ = plausible.nominal_run(kind, 0.6)
    weak, _ = plausible.nominal_run(
        kind.model_copy(update={"model": kind.model.model_copy(update={"power_w": 800.0})}), 0.6
    )
    steps = 1200
    nominal_c = plausible.hottest_c(kind, plausible.until(run_, steps))
    weak_c = plausible.hottest_c(kind, plausible.until(weak, steps))
    assert weak_c < nominal_c - 10.0


@pytest.mark.parametrize(
    ("marks", "hot_s", "said"),
    [
        (("first_melt", "last_melt"), 100, sentences.ALL_MELTED),
        (("first_melt",), 400, sentences.PARTLY_MELTED),
        ((), 100, sentences.NOT_MELTED_YET),
        ((), 301, sentences.FLUX_SPENT),
    ],
)
def test_what_to_do_now(
    marks: tuple[melt_marks.Seen, ...], hot_s: int, said: str, tmp_path: Path
) -> None:
    _, board_c = records_made.corners(records_made.GOOD)
    path = records_made.write(tmp_path / "record.txt", board_c, placing="air")
    for at, seen in enumerate(marks):
        melt_marks.add(path, Mark(250.0 + at, seen))
    hot = np.full(4 * hot_s, 160.0)
    assert see_melt.afterwards(read(path), hot) == said
