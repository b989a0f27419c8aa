"""The one run that the page is about: from chosen documents to its end. All pages see the same.

Nothing is computed here: preparing, running and judging happen in a process of their own.
"""

from __future__ import annotations

import asyncio
import multiprocessing
import os
import socket
import threading
import time
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from multiprocessing.connection import Connection
from multiprocessing.context import SpawnProcess
from pathlib import Path
from typing import Any

from heatwright import sentences
from heatwright.errors import Fault
from heatwright.page.feed import Feed, News
from heatwright.page.work import work
from heatwright.running.job import Asked

CHOOSE, PLANNING, READY, RUNNING, LEARNING, OVER, FAILED = (
    "choose", "planning", "ready", "running", "learning", "over", "failed",
)  # fmt: skip
# The second step must follow the first while the person still stands there.
ARMED_S = 60.0
SAID_KEPT = 20
SPEEDS = (1, 5, 20, 60)


@dataclass(frozen=True)
class Errand:
    """What a process of its own is to do: ``work(pipe, *words)``; ``home`` is where it is shown."""

    home: str
    work: Callable[..., None]
    words: tuple[Any, ...]


def fresh(phase: str, home: str = "/") -> News:
    """A state in which nothing has been heard yet."""
    return {
        "phase": phase,
        "home": home,
        "now": None,
        "events": [],
        "said": [],
        "asks": "",
        "rest": None,
        "judging": False,
        "starting": False,
    }


class Desk:
    """Holds the state, passes orders to the run's process and its news to the pages."""

    def __init__(self, out: Path, speed: float = 1.0, far: bool = False) -> None:
        """``far``: pages may be open on other devices."""
        self.out = out
        self.far = far
        self.speed = speed
        self.feed = Feed(self.whole)
        self.state = fresh(CHOOSE)
        self.points: list[list[float | None]] = []
        self.last_news_s = time.monotonic()
        self._armed_s: float | None = None
        self._pipe: Connection | None = None
        self._process: SpawnProcess | None = None

    @property
    def phase(self) -> str:
        return str(self.state["phase"])

    @property
    def home(self) -> str:
        """The page of what is under way."""
        return str(self.state["home"])

    @property
    def is_armed(self) -> bool:
        return self._armed_s is not None and time.monotonic() - self._armed_s < ARMED_S

    @property
    def is_busy(self) -> bool:
        """Whether a run is going on, or being begun."""
        return self.phase == RUNNING or bool(self.state["starting"])

    def whole(self) -> News:
        """All that a page needs that has just been opened."""
        return {**self.state, "armed": self.is_armed, "speed": self.speed, "points": self.points}

    def plan(self, asked: Asked) -> None:
        """Prepare a run. The caller has checked that none is going on."""
        self.begin(Errand("/", work, (asked, self.out, self.speed, self.far)))

    def begin(self, errand: Errand) -> None:
        """Send a process on its errand. The caller has checked that none is under way."""
        self.leave()
        self.state, self.points = fresh(PLANNING, errand.home), []
        context = multiprocessing.get_context("spawn")
        self._pipe, theirs = context.Pipe()
        self._process = context.Process(
            target=errand.work, args=(theirs, *errand.words), name="heatwright run"
        )
        self._process.start()
        theirs.close()
        hears = asyncio.get_running_loop()
        reader = threading.Thread(target=self._listen, args=(self._pipe, hears), daemon=True)
        reader.start()
        self._tell_whole()

    def _listen(self, pipe: Connection, loop: asyncio.AbstractEventLoop) -> None:
        """In a thread: whatever the run's process says goes to the event loop."""
        with suppress(EOFError, OSError, RuntimeError):
            while True:
                news = pipe.recv()
                loop.call_soon_threadsafe(self._heard, pipe, news)
        pipe.close()
        with suppress(RuntimeError):
            loop.call_soon_threadsafe(self._ended, pipe)

    def _heard(self, pipe: Connection, news: News) -> None:
        if pipe is not self._pipe:
            return
        self.last_news_s = time.monotonic()
        fresh = news.pop("points", [])
        self.points += fresh
        said = news.pop("said", None)
        if said:
            self.state["said"] = [*self.state["said"], said][-SAID_KEPT:]
            news["said"] = self.state["said"]
        if events := news.pop("events", None):
            self.state["events"] = [*self.state["events"], *events]
            news["events"] = self.state["events"]
        if news.get("phase"):
            self.state["starting"] = False
        self.state |= news
        self.feed.tell({**news, "fresh": fresh})

    def _ended(self, pipe: Connection) -> None:
        """The process is gone: after its last word that is right, before it something is wrong."""
        if pipe is not self._pipe or self.phase in (OVER, FAILED):
            return
        fault = Fault(sentences.PAGE_PROCESS_GONE, cure=sentences.PAGE_PROCESS_GONE_CURE)
        self.state |= {"phase": FAILED, "faults": [vars(fault)], "starting": False}
        self._tell_whole()

    def _tell_whole(self) -> None:
        self.feed.tell(self.whole())

    def arm(self) -> None:
        """The first of the two steps."""
        if self.phase == READY:
            self._armed_s = time.monotonic()
            self._tell_whole()

    def start(self) -> bool:
        """The second; False where the first is missing or too long ago."""
        if self.phase != READY or not self.is_armed:
            return False
        self._armed_s = None
        self.state["starting"] = True
        self.order("start")
        self._tell_whole()
        return True

    def stop(self) -> None:
        """Heat off. A run that has not begun is given up."""
        if self.is_busy:
            self.order("stop")
        elif self.phase in (PLANNING, READY):
            self.leave()
            self._tell_whole()

    def clear(self) -> None:
        """Clear the safety stop that the controller stands in; nothing where no run was."""
        if self.phase in (OVER, FAILED):
            self.order("clear")

    def order(self, verb: str, word: Any = None) -> None:
        """Pass a verb on; a process that has gone hears nothing."""
        if self._pipe:
            with suppress(OSError):
                self._pipe.send((verb, word))

    def set_speed(self, speed: float) -> None:
        self.speed = speed
        self.order("speed", speed)
        self.feed.tell({"speed": speed})

    def leave(self) -> None:
        """Back to the choice. A run that heats is never left like this."""
        if self.is_busy:
            return
        pipe, process, self._pipe, self._process = self._pipe, self._process, None, None
        if pipe:
            _hang_up(pipe)
        if process and process.is_alive() and self.phase in (PLANNING, LEARNING):
            process.terminate()
        self._armed_s = None
        self.state, self.points = fresh(CHOOSE), []

    def close(self) -> None:
        """The server ends: the run that goes on is told to stop, and waited for."""
        process, pipe = self._process, self._pipe
        self.stop()
        if pipe:
            # an order that was sent is read before the end is seen
            _hang_up(pipe)
        if process and process.is_alive():
            process.join(10.0)


def _hang_up(pipe: Connection) -> None:
    """Both ends are told; the thread that listens to it wakes, and closes it."""
    with suppress(OSError), socket.socket(fileno=os.dup(pipe.fileno())) as end:
        end.shutdown(socket.SHUT_RDWR)
