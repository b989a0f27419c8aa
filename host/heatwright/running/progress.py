"""The live line of a run: stage, target, sensor, power, time left."""

from __future__ import annotations

import sys
from collections.abc import Callable
from contextlib import AbstractContextManager, nullcontext
from typing import Any

from heatcore import codes
from heatcore.inputs import NONE
from heatwright import sentences
from heatwright.records.lines import EVENT, SAMPLE, named
from heatwright.running.target import Line
from heatwright.running.time_left import TimeLeft, clock

# Without a terminal: a line a minute of the run is enough to see that it goes on.
SPARSE_MS = 60_000

Show = Callable[[str], None]


class Progress:
    """Watches the lines of a run and shows where it is."""

    def __init__(self, show: Show, tell: Show, left: TimeLeft, every_ms: int) -> None:
        """``show`` gets the live line, ``tell`` what happened (a trip, a stage, a mark)."""
        self._show = show
        self._tell = tell
        self._left = left
        self._every_ms = every_ms
        self._due_ms = 0
        self._cued = 0
        self._note = 0

    def __call__(self, line: Line) -> None:
        if line[0] == EVENT:
            event = named(line)
            self._say(event["now_ms"], event_told(event))
        elif line[0] == SAMPLE:
            self._sampled(named(line))

    def _sampled(self, sample: dict[str, int]) -> None:
        self._left.see(sample)
        if sample["door_cue"] > self._cued and sample["door"] != 1:
            self._say(sample["now_ms"], sentences.OPEN_THE_DOOR)
        if sample["note"] != self._note:
            self._noted(sample)
        self._cued, self._note = sample["door_cue"], sample["note"]
        if sample["now_ms"] >= self._due_ms:
            self._due_ms = sample["now_ms"] + self._every_ms
            self._show(live_line(sample, self._left))

    def _noted(self, sample: dict[str, int]) -> None:
        note = codes.NOTE_NAMES.get(sample["note"], "")
        self._say(sample["now_ms"], sentences.RUN_NOTES.get(note, ""))

    def _say(self, now_ms: int, sentence: str) -> None:
        if sentence:
            self._tell(f"{clock(now_ms)}  {sentence}")


def event_told(event: dict[str, int]) -> str:
    """What happened, in a sentence; empty for a new stage, which the live line has."""
    name = codes.TRIP_NAMES.get(event["code"]) or codes.EVENT_NAMES.get(event["code"])
    if event["code"] == codes.EVENT_STAGE or name is None:
        return ""
    sentence = sentences.RUN_EVENTS.get(name, sentences.RUN_TRIPPED)
    return sentence.format(name=name.replace("_", " "))


def live_line(sample: dict[str, int], left: TimeLeft) -> str:
    """One line of text about one sample."""
    return sentences.LIVE_LINE.format(
        at=clock(sample["now_ms"]),
        stage=sentences.STAGE_NAMES[codes.STAGES[sample["stage"]]],
        target=_temperature(sample["y_mc"]),
        sensor=_temperature(sample["sensor_mc"]),
        power=f"{sample['duty'] / 100:.0f} %",
        left=left,
    )


def _temperature(value_mc: int) -> str:
    return "-" if value_mc == NONE else f"{value_mc / 1000:.0f} °C"


def shown(tell: Show, left: TimeLeft, tick_ms: int) -> tuple[AbstractContextManager[Any], Progress]:
    """A context to run in and the progress to watch with: live on a terminal, else sparse lines."""
    if not sys.stderr.isatty():
        return nullcontext(), Progress(tell, tell, left, SPARSE_MS)
    from rich.console import Console

    console = Console(stderr=True, highlight=False)
    status = console.status("", spinner="line")
    return status, Progress(status.update, console.print, left, tick_ms)
