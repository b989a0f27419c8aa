"""See-it-melt runs for tests and benches: a source whose sensor misreads, a person who watches."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from heatcore import codes
from heatcore.plan import read as read_plan
from heatsim.loop import Rig
from heatsim.params import PlantParams
from heatsim.plant import Plant
from heatsim.sensor import Sensor
from heatwright.documents import load_source
from heatwright.records.reader import Record, read
from heatwright.records.writer import RecordWriter
from heatwright.running import see_melt, session
from heatwright.running.simulated import SimulatedTarget
from heatwright.running.target import Line

MELTS_C, ROOM_C = 217.0, 25.0


class Misread(Plant):
    """A source whose control sensor reads `off_k` too much when solder melts, in proportion."""

    off_k = 0.0

    def temperatures(self) -> dict[str, float]:
        found = super().temperatures()
        share = (found["board"] - ROOM_C) / (MELTS_C - ROOM_C)
        return found | {"sensor": found["sensor"] + self.off_k * share}


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
        if self.marks and self.board_c >= MELTS_C + 2.0:
            self.marks = False
            yield "mark"


def run(
    params: PlantParams,
    plan: bytes,
    person: Watcher,
    place: Path,
    hottest_c: float | None = None,
    off_k: float = 0.0,
) -> Record:
    """``hottest_c`` stands for the live ceiling's figure where a test is about other things."""
    plant = Misread(params)
    plant.off_k = off_k
    plant.reset(ROOM_C)
    target = SimulatedTarget(Rig(plant, Sensor(), attends=False))
    session.arm(target, plan, read_plan(plan).id)
    watch = see_melt.SeeMelt(load_source("toaster"), person, person, lambda _: None)
    if hottest_c is not None:
        watch.look = lambda *_: hottest_c
    with RecordWriter(place / "record.txt", {"placing": "air"}) as writer:
        session.record(target, writer, watch, watch, print)
    return read(place / "record.txt")


def board_peak(record: Record) -> float:
    """The hottest that the board truly was, C."""
    assert record.truth is not None
    return float(record.truth.board_c.max())
