"""A coached run in a process of its own: the page shows one sentence, large, and passes keys on."""

from __future__ import annotations

import time
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Any

from heatwright import sentences
from heatwright.coaching.advice import Advice
from heatwright.coaching.knob import Hand
from heatwright.coaching.live import Ending, coach_live
from heatwright.coaching.outfit import Outfit, beforehand, cautions, outfit_of
from heatwright.coaching.practice import Coached, practise
from heatwright.coaching.readings import Readings
from heatwright.coaching.screen import Now, clock
from heatwright.coaching.set_up import NONE, TYPED, coach_for, readings_for
from heatwright.errors import BadInput, Fault
from heatwright.page.work import Wire, await_start, wired

PRACTICE = "practice"
# Ten pictures a second are as many as a person can use, however fast a rehearsal runs.
SEND_EVERY_S = 0.09
# What the page's orders are called at the keyboard.
KEYS = {"stop": "s", "mark": "m", "unmark": "u"}


@dataclass(frozen=True)
class Asked:
    """What a person asks for at the page; ``sensor`` as `coach --sensor` has it, or practice."""

    source: str
    paste: str
    board: str | None
    bead: str
    sensor: str
    seed: int = 1


class _GivenUp(Exception):
    """STOP in a rehearsal: nothing is left to do."""


class PageKeys:
    """Follows `live.Keys`: what is pressed and typed at the page."""

    def __init__(self, wire: Wire, screen: PageScreen) -> None:
        self._wire, self._screen = wire, screen

    def lines(self) -> Iterator[str]:
        for verb, word in self._wire.orders():
            if verb == "typed":
                self._screen.typed()
                yield str(word)
            elif verb in KEYS:
                yield KEYS[verb]


class PageScreen:
    """Follows `screen.Screen`: sends what holds now, a few times a second."""

    def __init__(self, wire: Wire, hand: Hand) -> None:
        self._wire, self._hand = wire, hand
        self._points: list[list[float | None]] = []
        self._knob, self._asks, self._said = "", "", 0
        self._sent_s, self._point_s, self.now_s = 0.0, -1.0, 0.0
        self._read_c: float | None = None

    def say(self, advice: Advice) -> None:
        if advice.kind == "type":
            self._asks = advice.text
        else:
            self._said += 1
            self._wire.send({"events": [{"t": advice.at_s, "text": advice.text}]})
        if advice.setting is not None:
            self._knob = self._hand.settings[advice.setting].hold
        self._sent_s = 0.0

    def show(self, now: Now) -> None:
        self.now_s = now.now_s
        self._read_c = self._read_c if now.reading_c is None else now.reading_c
        if now.now_s - self._point_s >= 1.0:
            self._point_s = now.now_s
            self._points.append([round(now.now_s, 1), _tenth(now.board_c), _tenth(now.reading_c)])
        if time.monotonic() - self._sent_s < SEND_EVERY_S:
            return
        self._sent_s = time.monotonic()
        points, self._points = self._points, []
        self._wire.send({"coach": self._view(now), "points": points})

    def _view(self, now: Now) -> dict[str, Any]:
        known = sentences.COACH_NOT_KNOWN if now.board_c is None else f"{now.board_c:.0f} °C"
        standing = now.standing
        return {
            "sentence": standing.text if standing else "",
            "danger": bool(standing and standing.is_danger),
            "marks": now.marks,
            "said": self._said,
            "at": clock(self.now_s),
            "board": known,
            "bead": "–" if self._read_c is None else f"{self._read_c:.0f} °C",
            "knob": self._knob,
            "asks": self._asks,
        }

    def typed(self) -> None:
        self._asks = ""

    def answer(self, at_s: float, text: str) -> None:
        self._wire.send({"events": [{"t": at_s, "text": text}]})

    def close(self) -> None:
        """The page goes on showing what was sent last."""


def _tenth(value: float | None) -> float | None:
    return None if value is None else round(value, 1)


def coach(pipe: Connection, asked: Asked, out: Path, speed: float) -> None:
    """Tell cautions and what to expect, wait until they are read, then coach, record and judge."""
    with wired(pipe) as wire:
        outfit = outfit_of(asked.source, asked.paste, asked.board, asked.bead)
        if asked.sensor == PRACTICE:
            _rehearse(wire, outfit, asked, out, speed)
            return
        with closing(readings_for(asked.sensor)) as readings:
            _coach(wire, outfit, readings, asked, out)


def _coach(wire: Wire, outfit: Outfit, readings: Readings, asked: Asked, out: Path) -> None:
    _await_reader(wire, outfit, asked, 1.0)
    screen = PageScreen(wire, Hand(outfit.source, outfit.paste))
    coached, ending = coach_live(
        outfit,
        coach_for(outfit, asked.sensor),
        readings,
        screen,
        PageKeys(wire, screen),
        out,
        asked.sensor,
        lambda text: wire.send({"said": text}),
    )
    wire.send({"phase": "over", "over": _over(coached, ending)})


def _await_reader(wire: Wire, outfit: Outfit, asked: Asked, speed: float) -> float:
    """Everything that is to be read first; raises `BadInput` where nobody goes on from there."""
    wire.send({"phase": "ready", "preview": _preview(outfit, asked)})
    speed = await_start(wire, speed)
    if not wire.there:
        raise BadInput(Fault(sentences.PAGE_STOPPED_EARLY))
    wire.send({"phase": "running"})
    return speed


def _preview(outfit: Outfit, asked: Asked) -> dict[str, Any]:
    window = outfit.paste.window
    how = {TYPED: sentences.PAGE_COACH_TYPED, NONE: sentences.COACH_NO_SENSOR}
    off = (sentences.COACH_BEAD_OFF,) if outfit.bead == "sensor" else ()
    return {
        "title": sentences.PAGE["coached"].format(
            source=outfit.source.name or outfit.source.kind, paste=outfit.paste.name
        ),
        "cautions": list(cautions(outfit)),
        "beforehand": [*beforehand(outfit), *off],
        "how": how.get(asked.sensor, ""),
        "types": asked.sensor == TYPED,
        "reads": asked.sensor != NONE,
        "practice": asked.sensor == PRACTICE,
        "liquidus_c": outfit.paste.above_c,
        "peak_c": list(window.peak_c),
    }


def _rehearse(wire: Wire, outfit: Outfit, asked: Asked, out: Path, speed: float) -> None:
    """A simulated source and person; the speed may be changed while it goes on."""
    pace = [_await_reader(wire, outfit, asked, speed)]

    def sleep(step_s: float) -> None:
        for verb, word in wire.orders():
            if verb == "stop":
                raise _GivenUp
            if verb == "speed":
                pace[0] = float(word)
        time.sleep(step_s / pace[0])

    screen = PageScreen(wire, Hand(outfit.source, outfit.paste))
    try:
        coached = practise(
            outfit,
            out,
            asked.seed,
            screen,
            lambda text: wire.send({"said": text}),
            speed=1.0,
            sleep=sleep,
        )
    except _GivenUp:
        wire.send({"phase": "failed", "faults": [vars(Fault(sentences.PAGE_REHEARSAL_ENDED))]})
        return
    wire.send({"phase": "over", "over": _over(coached, "finished")})


def _over(coached: Coached, ending: Ending) -> dict[str, Any]:
    report = coached.report
    return {
        "run": report.folder.name,
        "verdict": report.verdict.status,
        "sentence": report.verdict.sentence,
        "notes": list(report.verdict.notes),
        "by_bead": report.verdict.board_from == "measured",
        "ending": "" if ending == "finished" else sentences.COACH_INTERRUPTED,
    }
