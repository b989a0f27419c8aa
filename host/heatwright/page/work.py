"""One run in a process of its own: the page may hang or die, and the run goes on or ends well."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager, suppress
from dataclasses import dataclass, field
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Any

from heatwright import sentences
from heatwright.documents.bench import load_bench
from heatwright.errors import BadInput, Fault, HeatwrightError
from heatwright.page.board_now import Watcher
from heatwright.page.faults import faults_of
from heatwright.page.now import Now
from heatwright.page.presence import attend
from heatwright.page.preview import preview
from heatwright.page.rest import Rest
from heatwright.running.connect import connect
from heatwright.running.execute import Report, judged, recorded
from heatwright.running.job import Asked, Job, prepare
from heatwright.running.link_client import SerialTarget
from heatwright.running.link_client import connect as connect_port
from heatwright.running.named_on import check_on
from heatwright.running.outcome import trip_line
from heatwright.running.session import Orders, Watch
from heatwright.running.simulated import SimulatedTarget
from heatwright.running.target import Target
from heatwright.running.time_left import time_left

VERBS = frozenset({"stop", "unmark", "not_melted", "start"})
# How many marks stand before each of them; ``mark`` is whichever comes next.
MARKS = {"mark": (0, 1), "first": (0,), "last": (1,)}
# Two people at two pages, or a key held down, mean one mark: the record shows it by then.
MARK_SEEN_S = 1.0


@dataclass
class Wire:
    """This end of the pipe to the page. A page that has gone away changes nothing in a run."""

    pipe: Connection
    there: bool = True
    took: list[tuple[str, Any]] = field(default_factory=list)

    def send(self, news: dict[str, Any]) -> None:
        if self.there:
            with suppress(OSError):
                self.pipe.send(news)

    def orders(self, wait_s: float | None = 0.0) -> Iterator[tuple[str, Any]]:
        """What came; ``wait_s`` None waits for the first. Ends for good where the page is gone."""
        try:
            while self.there and self.pipe.poll(wait_s):
                yield self.pipe.recv()
                wait_s = 0.0
        except (EOFError, OSError):
            self.there = False

    def is_given_up(self) -> bool:
        """Whether STOP was given, or nobody is at the page any more; other orders are dropped."""
        verbs = [verb for verb, _ in self.orders()]
        return "stop" in verbs or not self.there


@dataclass
class PageOrders:
    """Follows `session.Orders`: the terminal's signals first, then what the page sends."""

    wire: Wire
    keyboard: Orders
    target: Target
    now: Now
    _marking: tuple[int, float] = (-1, 0.0)

    def waiting(self) -> Iterator[str]:
        yield from self.keyboard.waiting()
        for verb, word in self.wire.orders():
            if verb in VERBS:
                yield verb
            elif verb in MARKS:
                yield from self._mark(verb)
            elif isinstance(self.target, SimulatedTarget):
                _play(self.target, verb, word)

    def _mark(self, verb: str) -> Iterator[str]:
        standing, now_s = len(self.now.marked_ms), time.monotonic()
        count, asked_s = self._marking
        is_under_way = count == standing and now_s - asked_s < MARK_SEEN_S
        if standing in MARKS[verb] and not is_under_way:
            self._marking = (standing, now_s)
            yield "mark"


def _play(target: SimulatedTarget, verb: str, word: Any) -> None:
    """What only a simulated workshop allows."""
    if verb == "speed":
        target.speed = float(word)
    elif verb == "break":
        target.strike(str(word))


@contextmanager
def wired(pipe: Connection, failed: Callable[[Wire], None] | None = None) -> Iterator[Wire]:
    """A wire to the page for as long as an errand lasts; what goes wrong in it is told there.

    ``failed`` is what is done after that, while the page is still there.
    """
    wire = Wire(pipe)
    try:
        yield wire
    except HeatwrightError as error:
        wire.send({"phase": "failed", "faults": faults_of(error)})
        if failed:
            failed(wire)
    except KeyboardInterrupt:
        # before heat there is nothing to end; in a run the keyboard's orders take it
        wire.there = False
    finally:
        pipe.close()


def work(pipe: Connection, asked: Asked, out: Path, speed: float, far: bool) -> None:
    """Prepare a run, wait until it is to start, do it, judge it. Every step is told.

    ``far``: whoever starts it may not be where the heat is.
    """
    with wired(pipe, lambda wire: _look_if_tripped(wire, asked, far)) as wire:
        check_on(asked.on)
        job = prepare(asked)
        wire.send({"phase": "ready", "preview": preview(job)})
        speed = await_start(wire, speed)
        if wire.there:
            _run(wire, job, out, speed, far)


def await_start(wire: Wire, speed: float) -> float:
    """Return when told to start; the page that goes away before that ends the work."""
    while wire.there:
        for verb, word in wire.orders(None):
            if verb == "start":
                return speed
            if verb == "speed":
                speed = float(word)
    return speed


def attended(wire: Wire, asked: Asked, speed: float, far: bool) -> Target:
    """The controller to run on; where its heat is real, once somebody has shown to be there."""
    target = connect(asked, speed if asked.is_simulated else None)
    if isinstance(target, SerialTarget):
        attend(target, far, lambda text: wire.send({"asks": text}), wire.is_given_up)
    return target


def _run(wire: Wire, job: Job, out: Path, speed: float, far: bool) -> None:
    target = attended(wire, job.asked, speed, far)
    now = Now(_watcher(job), wire.send, time_left(job.plan), job.paste.above_c)

    def overseen(show: Watch, keyboard: Orders) -> tuple[Watch, Orders]:
        wire.send({"phase": "running"})
        return now, PageOrders(wire, keyboard, target, now)

    def tell(text: str) -> None:
        wire.send({"said": text})

    place, interrupted = recorded(job, target, out, tell, overseen)
    wire.send({"judging": True})
    try:
        report = judged(place, interrupted, tell)
    except BadInput as error:
        if now.has_begun:
            raise
        raise BadInput(Fault(sentences.PAGE_STOPPED_EARLY)) from error
    wire.send({"phase": "over", "judging": False, "over": _over(report)})
    with suppress(HeatwrightError):
        _rest(wire, target, now, far, job.asked)


def _rest(wire: Wire, target: Target, now: Now, far: bool, asked: Asked) -> None:
    """Look at the source until it is cold; a real controller's port was let go, and is reopened."""
    if isinstance(target, SimulatedTarget):
        Rest(target, now.watcher, far, now.last).watch(
            wire, lambda verb, word: _play(target, verb, word)
        )
        return
    with closing(connect_port(asked.on)) as reopened:
        Rest(reopened, now.watcher, far, now.last).watch(wire)


def _look_if_tripped(wire: Wire, asked: Asked, far: bool) -> None:
    """A controller that stands in a safety stop refuses every run: offer to clear it."""
    if asked.is_simulated:
        return
    with suppress(HeatwrightError), closing(connect_port(asked.on)) as target:
        target.look()
        if target.trip:
            Rest(target, Watcher("", None, asked.ambient_c), far).watch(wire)


def _watcher(job: Job) -> Watcher:
    """What follows the board: the source's model with this very board in it."""
    bench = load_bench(job.paste, job.asked.board)
    return Watcher(job.placing, job.source, job.asked.ambient_c, bench)


def _over(report: Report) -> dict[str, Any]:
    return {
        "run": report.folder.name,
        "outcome": report.outcome,
        "verdict": report.verdict.status,
        "sentence": report.verdict.sentence,
        "trip": trip_line(report.trip) if report.trip else "",
    }
