"""A see-it-melt run: heat until the mark, watched by a ceiling on the hottest plausible board."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

import numpy as np

from heatcore import codes
from heatcore.inputs import NONE, OK
from heatsim.batch import inputs_table
from heatsim.plant import STEP_S
from heatwright import sentences
from heatwright.documents import Source
from heatwright.judging.board import BEAD_TOLERANCE_K, ON_THE_BOARD
from heatwright.measuring import plausible
from heatwright.measuring.measurement import SENSOR, Measurement
from heatwright.measuring.plausible import AFTER_MARK_S
from heatwright.records.lines import EVENT, SAMPLE, named
from heatwright.records.melt_marks import marks_of
from heatwright.records.reader import Record
from heatwright.records.units import Floats
from heatwright.running.session import Orders, Tell, Watch
from heatwright.running.target import Line

LOOK_EVERY_S = plausible.NEXT_LOOK_S
# Common practice: flux that was hot for longer than this in all is used up.
FLUX_C, FLUX_S = 150.0, 300.0


def unseen(hottest_c: float) -> None:
    """Nobody asked how hot the board may be."""


@dataclass
class SeeMelt:
    """Watches the lines of a run and orders the heat off; passes a person's own orders on.

    It is both the `session.Watch` and the `session.Orders` of the run. ``looked`` is told the
    hottest plausible board at each look, °C. ``reads`` is the node of the control sensor.
    """

    source: Source
    show: Watch
    person: Orders
    tell: Tell
    looked: Callable[[float], None] = unseen
    reads: str = SENSOR
    look: Callable[[Source, Measurement], float] = plausible.hottest_c
    hottest_c: float = float("nan")
    _sensor_c: list[float] = field(default_factory=list)
    _duty: list[float] = field(default_factory=list)
    _due: int = round(LOOK_EVERY_S / STEP_S)
    _marked_ms: int | None = None
    _orders: list[str] = field(default_factory=list)
    _ended: bool = False

    def __call__(self, line: Line) -> None:
        self.show(line)
        if line[0] == EVENT:
            self._happened(named(line))
        elif line[0] == SAMPLE and not self._ended:
            self._sampled(named(line))

    def waiting(self) -> Iterator[str]:
        yield from self.person.waiting()
        while self._orders:
            yield self._orders.pop(0)

    def _happened(self, event: dict[str, int]) -> None:
        if event["code"] == codes.EVENT_MARK and self._marked_ms is None:
            self._marked_ms = event["now_ms"]
            self.tell(sentences.SEEN_TO_MELT.format(after=AFTER_MARK_S))
        elif event["code"] == codes.EVENT_UNMARK:
            self._marked_ms = None

    def _sampled(self, sample: dict[str, int]) -> None:
        good = sample["sensor_status"] == OK and sample["sensor_mc"] != NONE
        self._sensor_c.append(sample["sensor_mc"] / 1000 if good else float("nan"))
        self._duty.append(sample["duty"] / 10_000)
        marked_s = 0.0 if self._marked_ms is None else (sample["now_ms"] - self._marked_ms) / 1000
        if marked_s >= AFTER_MARK_S:
            self._end(sentences.OPEN_NOW)
        elif len(self._sensor_c) > self._due:
            self._look()

    def _look(self) -> None:
        self._due = len(self._sensor_c) + round(LOOK_EVERY_S / STEP_S)
        self.hottest_c = self.look(self.source, self._so_far())
        self.looked(self.hottest_c)
        if not self.hottest_c < plausible.CEILING_C:
            self._end(sentences.CEILING_REACHED.format(hottest=self.hottest_c))

    def _so_far(self) -> Measurement:
        sensor_c = np.array(self._sensor_c)
        room_c = float(np.nanmean(sensor_c[:9]))
        inputs = inputs_table(self._duty[:-1], fan=1.0, ambient_c=room_c)
        return Measurement("see it melt", "", inputs, {self.reads: sensor_c})

    def _end(self, sentence: str) -> None:
        self._ended = True
        self._orders.append("stop")
        self.tell(sentence)


def afterwards(record: Record, board_c: Floats, liquidus_c: float) -> str:
    """What a run came to and what to do now; ``board_c`` is the likely board at each tick."""
    seen = {mark.seen for mark in marks_of(record)}
    if "last_melt" in seen:
        return sentences.ALL_MELTED
    if "first_melt" in seen:
        return sentences.PARTLY_MELTED
    peak_c = _bead_peak_c(record)
    if peak_c > liquidus_c + BEAD_TOLERANCE_K:
        return sentences.MELTED_UNMARKED.format(peak=peak_c, liquidus=liquidus_c)
    hot_s = float((board_c > FLUX_C).sum()) * STEP_S
    return sentences.FLUX_SPENT if hot_s > FLUX_S else sentences.NOT_MELTED_YET


def _bead_peak_c(record: Record) -> float:
    """The highest that a bead on the board read; minus infinity where there was none."""
    on_board = record.header.get("placing") in ON_THE_BOARD
    return float(np.nanmax(record.sensor_c)) if on_board else float("-inf")
