"""What the page shows of a running run: made from its lines, in words, a few times a second."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from heatcore import codes
from heatcore.inputs import NONE, OK
from heatwright import sentences
from heatwright.page.board_now import BoardNow, Watcher
from heatwright.page.last_read import LastRead, Shown, celsius, reading_c
from heatwright.records.lines import EVENT, SAMPLE, named
from heatwright.running.progress import event_told
from heatwright.running.target import Line
from heatwright.running.time_left import TimeLeft, clock

# Ten pictures a second are as many as a person can use, however fast a simulation runs.
SEND_EVERY_S = 0.09
# A point a second of the run is enough for a curve.
POINT_EVERY_MS = 1000
# A reading older than this is not the present.
STALE_MS = 2000
# What is read out to a person who does not see the page.
SPOKEN_EVERY_MS = 30_000
SAFE_C = 50.0
ASKS = ("wait_mark", "wait_press")

Send = Callable[[dict[str, Any]], None]


@dataclass
class Now:
    """Follows `session.Watch`: takes every line, sends a view of the run now and then."""

    watcher: Watcher
    send: Send
    left: TimeLeft
    above_c: float
    last_sent_s: float = 0.0
    above_ms: int = 0
    last_ms: int = 0
    spoken_ms: int = -SPOKEN_EVERY_MS
    point_ms: int = -POINT_EVERY_MS
    stage: str = ""
    note: str = ""
    board: BoardNow = field(default_factory=lambda: BoardNow(None, 0.0, "unknown"))
    last: LastRead = field(default_factory=LastRead)
    points: list[list[float | None]] = field(default_factory=list)
    events: list[dict[str, Any]] = field(default_factory=list)
    marked_ms: list[int] = field(default_factory=list)

    def __call__(self, line: Line) -> None:
        if line[0] == EVENT:
            self._happened(named(line))
        elif line[0] == SAMPLE:
            self._sampled(named(line))

    def _happened(self, event: dict[str, int]) -> None:
        self._count_mark(event)
        text = self._mark_told() if event["code"] == codes.EVENT_MARK else event_told(event)
        if text:
            self.events.append({"t": event["now_ms"] / 1000, "text": text})

    def _count_mark(self, event: dict[str, int]) -> None:
        if event["code"] == codes.EVENT_MARK:
            self.marked_ms.append(event["now_ms"])
            if len(self.marked_ms) == 1:
                self.watcher.melted()
        elif event["code"] == codes.EVENT_UNMARK and self.marked_ms:
            self.marked_ms.pop()
            if not self.marked_ms:
                self.watcher.not_melted()

    def _mark_told(self) -> str:
        return sentences.PAGE_MARKED[min(len(self.marked_ms), 2) - 1]

    def _sampled(self, sample: dict[str, int]) -> None:
        now_ms = sample["now_ms"]
        self.board = self.watcher.see(sample)
        self.last.see(sample)
        if self.board.board_c is not None and self.board.board_c >= self.above_c:
            self.above_ms += max(now_ms - self.last_ms, 0)
        self.left.see(sample)
        self.last_ms = now_ms
        if now_ms - self.point_ms >= POINT_EVERY_MS:
            self.point_ms = now_ms
            self.points.append(self._point(sample))
        spoken = self._spoken(sample)
        if spoken or time.monotonic() - self.last_sent_s >= SEND_EVERY_S:
            self._send(sample, spoken)

    def _send(self, sample: dict[str, int], spoken: str) -> None:
        self.last_sent_s = time.monotonic()
        news: dict[str, Any] = {"now": self._view(sample), "points": self.points}
        if self.events:
            news["events"] = self.events
        if spoken:
            news["spoken"] = spoken
        self.send(news)
        self.points, self.events = [], []

    def tell_rest(self) -> None:
        """What happened after the last view that was sent, such as the stop that ended the run."""
        if self.events:
            self.send({"events": self.events})
            self.events = []

    def _point(self, sample: dict[str, int]) -> list[float | None]:
        """Time, target, sensor, board, low, high, power: a row of the curve."""
        board, band = self.board.board_c, self.board.band_k
        low = None if board is None else round(board - band, 1)
        high = None if board is None else round(board + band, 1)
        rounded = None if board is None else round(board, 1)
        target, power = celsius(sample["y_mc"]), round(sample["duty"] / 100, 1)
        return [sample["now_ms"] / 1000, target, reading_c(sample), rounded, low, high, power]

    def _view(self, sample: dict[str, int]) -> dict[str, Any]:
        note = codes.NOTE_NAMES.get(sample["note"], "")
        return {
            "age_ms": 0 if sample["sensor_age_ms"] == NONE else sample["sensor_age_ms"],
            "sound": sample["sensor_status"] == OK,
            "note": note,
            "door": bool(sample["door_cue"]),
            "marks": [clock(at_ms) for at_ms in self.marked_ms],
            # a controller that stands in a safety stop takes none
            "takes_marks": not sample["trip"],
            "cue": _cue(sample, note),
            "short": self._in_a_line(sample, _stage(sample), *sentences.PAGE_SHORT),
            "texts": self._texts(sample),
        }

    def _texts(self, sample: dict[str, int]) -> dict[str, str]:
        shown = self._shown(sample)
        return {
            "number": shown.number,
            "kind": shown.kind,
            "target": _degrees(celsius(sample["y_mc"])),
            "sensor": _degrees(reading_c(sample)),
            "stage": _stage(sample),
            "power": f"{sample['duty'] / 100:.0f} %",
            "left": str(self.left),
            "at": clock(sample["now_ms"]),
            "above": f"{self.above_ms / 1000:.0f} s",
        }

    def _shown(self, sample: dict[str, int]) -> Shown:
        return self.last.shown(self.board, reading_c(sample))

    def _in_a_line(self, sample: dict[str, int], stage: str, known: str, blind: str) -> str:
        """``known`` with the number in it; ``blind`` where nothing measures now."""
        shown = self._shown(sample)
        line = known if shown.is_present else blind
        return line.format(stage=stage, number=shown.number, left=self.left)

    @property
    def has_begun(self) -> bool:
        """Whether there was a sample yet."""
        return self.point_ms >= 0

    def _spoken(self, sample: dict[str, int]) -> str:
        """A sentence where something changed, or now and then how hot it is."""
        stage = sentences.STAGE_NAMES[codes.STAGES[sample["stage"]]]
        note = _cue(sample, codes.NOTE_NAMES.get(sample["note"], ""))
        changed = stage != self.stage or note != self.note
        self.stage, self.note = stage, note
        if not changed and sample["now_ms"] - self.spoken_ms < SPOKEN_EVERY_MS:
            return ""
        self.spoken_ms = sample["now_ms"]
        told = self._in_a_line(sample, stage, *sentences.PAGE_SPOKEN)
        return f"{note} {told}".strip()


def _cue(sample: dict[str, int], note: str) -> str:
    """What the person is to do now, in words; empty where it is nothing."""
    if note == "wait_above":
        return ""
    if sample["door_cue"] and sample["door"] != 1 and note not in ASKS:
        return sentences.OPEN_THE_DOOR
    return sentences.PAGE_NOTES.get(note, sentences.RUN_NOTES.get(note, ""))


def _stage(sample: dict[str, int]) -> str:
    """The stage's name, and whether its clock stands until it is hot enough."""
    stage = sentences.STAGE_NAMES[codes.STAGES[sample["stage"]]]
    waits = codes.NOTE_NAMES.get(sample["note"]) == "wait_above"
    return sentences.PAGE_STAGE_WAITS.format(stage=stage) if waits else stage


def _degrees(value: float | None) -> str:
    return "–" if value is None else f"{value:.0f} °C"
