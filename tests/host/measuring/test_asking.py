"""The question at the peak: what the plan waits for, and what each answer does."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from heatcore import codes
from heatcore.plan import read as read_plan
from heatwright.documents import load_source
from heatwright.planning import asking
from heatwright.records.melt_marks import marks_of
from heatwright.records.reader import Record, read
from heatwright.records.writer import RecordWriter
from heatwright.running import session
from heatwright.running.connect import connect
from heatwright.running.job import Asked, prepare
from heatwright.running.target import Line


class Person:
    """Says one thing, a while after being asked; the runs' watch and orders in one."""

    def __init__(self, answers: dict[float, str]) -> None:
        """``answers``: seconds after the question, and the key's order."""
        self.answers = answers
        self.asked_ms: int | None = None
        self.now_ms = 0

    def __call__(self, line: Line) -> None:
        if line[0] == "s":
            self.now_ms = line[2]
            if line[-1] == codes.NOTE_WAIT_MARK and self.asked_ms is None:
                self.asked_ms = self.now_ms

    def waiting(self) -> Iterator[str]:
        if self.asked_ms is None:
            return
        due = [s for s in self.answers if self.now_ms - self.asked_ms >= 1000 * s]
        for seconds in due:
            yield self.answers.pop(seconds)


@pytest.fixture(scope="module")
def asked() -> Asked:
    return Asked(on="sim:toaster", source="toaster", sensor="board_sensor", seed=0)


@pytest.fixture(scope="module")
def plan(asked: Asked) -> bytes:
    return asking.with_question(prepare(asked).data, load_source("toaster").plant_params())


def run(asked: Asked, plan: bytes, person: Person, place: Path) -> Record:
    target = connect(asked, None)
    session.arm(target, plan, read_plan(plan).id)
    with RecordWriter(place / "record.txt", {"placing": "on_board"}) as writer:
        session.record(target, writer, person, person, print)
    return read(place / "record.txt")


def test_asks_until_three_runs_were_marked() -> None:
    source = load_source("toaster")
    assert asking.asks(source)
    assert not asking.asks(source.model_copy(update={"marked_from": ["a", "b", "c"]}))


def test_melted_goes_on_at_once(asked: Asked, plan: bytes, tmp_path: Path) -> None:
    person = Person({2.0: "mark"})
    record = run(asked, plan, person, tmp_path)
    assert [mark.seen for mark in marks_of(record)] == ["first_melt"]
    cooling = record.time_s[record.stage == codes.RAMP_DOWN]
    assert person.asked_ms is not None
    assert cooling[0] - person.asked_ms / 1000 < 4.0


def test_not_yet_holds_heat_and_is_kept_as_a_mark(
    asked: Asked, plan: bytes, tmp_path: Path
) -> None:
    person = Person({1.0: "not_melted", 30.0: "mark"})
    record = run(asked, plan, person, tmp_path)
    assert [mark.seen for mark in marks_of(record)] == ["not_melted", "first_melt"]
    assert person.asked_ms is not None
    since_s = record.time_s - person.asked_ms / 1000
    held = (since_s > 3) & (since_s < 28)
    # the source coasts first; then heat holds it, the door shut, since nobody is told to open it
    assert record.duty[held][-40:].mean() > 0.1
    assert not record.raw["door_cue"][held].any()
    assert not record.raw["door"][held].any()
    assert record.sensor_c[held].min() > record.sensor_c[held].max() - 6.0
    assert record.sensor_c[held].max() < record.sensor_c[~held].max() + 6.0


def test_no_answer_ends_the_heat_after_90_s(asked: Asked, plan: bytes, tmp_path: Path) -> None:
    person = Person({})
    record = run(asked, plan, person, tmp_path)
    assert person.asked_ms is not None
    off_s = record.time_s[(record.duty > 0)][-1] - person.asked_ms / 1000
    assert 85.0 < off_s <= 91.0
    assert marks_of(record) == []
