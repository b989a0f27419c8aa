"""Does one run from plan to verdict, and leaves all of it in a folder."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager, suppress
from dataclasses import asdict, dataclass
from datetime import datetime
from importlib.metadata import version
from pathlib import Path
from typing import Any

from heatcore.limits import TICK_MS
from heatwright import sentences
from heatwright.documents import Source
from heatwright.documents.source import SET_UP
from heatwright.errors import (
    EXIT_DONE,
    EXIT_INTERRUPTED,
    EXIT_STOPPED,
    EXIT_TRIPPED,
    EXIT_VERDICT,
    BadInput,
    Fault,
    NoController,
)
from heatwright.judging.curves import time_above
from heatwright.judging.kept import kept
from heatwright.judging.verdict import Verdict
from heatwright.records import folder, lines
from heatwright.records.reader import Record, read
from heatwright.records.writer import RecordWriter
from heatwright.reporting import picture
from heatwright.running import session
from heatwright.running.begun import Begun, not_begun
from heatwright.running.job import Job
from heatwright.running.orders import Keyboard
from heatwright.running.outcome import Outcome, Trip, outcome_of, trip_of
from heatwright.running.progress import shown
from heatwright.running.refusal import with_wait
from heatwright.running.target import Refused, Target
from heatwright.running.time_left import time_left

SCHEMA_VERSION = 1
# The first heat of the cold check is a run as well.
HARDLY_RUN = 1

Tell = Callable[[str], None]
Overseer = Callable[[session.Watch, session.Orders], tuple[session.Watch, session.Orders]]


class Left(KeyboardInterrupt):
    """Left by Ctrl-C: heat is off, and what was recorded so far lies in ``folder``."""

    def __init__(self, folder: Path) -> None:
        super().__init__()
        self.folder = folder


@dataclass(frozen=True)
class Report:
    """What a run came to: all that is printed at its end."""

    outcome: Outcome
    verdict: Verdict
    trip: Trip | None
    record: Record
    folder: Path
    interrupted: bool

    @property
    def exit_code(self) -> int:
        """Trip, else Ctrl-C, else stopped, else the verdict."""
        if self.trip:
            return EXIT_TRIPPED
        if self.interrupted:
            return EXIT_INTERRUPTED
        if self.outcome == "stopped":
            return EXIT_STOPPED
        return EXIT_VERDICT if self.verdict.status in ("fail", "unknown") else EXIT_DONE

    def as_json(self) -> dict[str, Any]:
        """The document of ``run --json``."""
        true_peak_c, true_above_s = true_board(self.record, self.verdict.paste.above_c)
        return {
            "schema_version": SCHEMA_VERSION,
            "outcome": self.outcome,
            "verdict": self.verdict.status,
            "peak_board_c": self.verdict.peak_board_c,
            "peak_board_low_c": self.verdict.peak_board_low_c,
            "peak_board_high_c": self.verdict.peak_board_high_c,
            "true_peak_board_c": true_peak_c,
            "time_above_liquidus_s": self.verdict.time_above_liquidus_s,
            "true_time_above_liquidus_s": true_above_s,
            "board_from": self.verdict.board_from,
            "trip": asdict(self.trip) if self.trip else None,
            "record": str(self.folder),
            "picture": str(self.folder / folder.PICTURE),
            "trace_sha256": self.record.trace_sha256,
        }


def alone(watch: session.Watch, orders: session.Orders) -> tuple[session.Watch, session.Orders]:
    """Nobody but the person."""
    return watch, orders


def execute(job: Job, target: Target, out: Path, tell: Tell, overseen: Overseer = alone) -> Report:
    """Run the job's plan on this controller and judge it; ``overseen`` as in `recorded`.

    Raises `target.Refused` where it can't begin, `begun.NotBegun` where it ended before any heat,
    `BadInput` where the folder can't be made, `NoController` where it falls silent, and
    `Left` at a second Ctrl-C, heat being off.
    """
    place, interrupted = recorded(job, target, out, tell, overseen)
    with named_if_left(place, tell):
        return judged(place, interrupted, tell)


@contextmanager
def named_if_left(place: Path, tell: Tell) -> Iterator[None]:
    """Ctrl-C in here says what was recorded. Raises `Left` then."""
    try:
        yield
    except KeyboardInterrupt as left:
        tell(sentences.LEFT.format(folder=place))
        raise Left(place) from left


def recorded(
    job: Job, target: Target, out: Path, tell: Tell, overseen: Overseer = alone
) -> tuple[Path, bool]:
    """Run the job's plan and record it, no more; returns its folder and whether Ctrl-C ended it.

    ``overseen`` may put a watch and orders of its own before the person's.
    """
    with closing(target):
        _caution_new(job, target, tell)
        _arm(job, target)
        place = folder.make(out, job.plan.name, datetime.now())
        header = _header(job, target, _put_documents(job, place))
        try:
            with named_if_left(place, tell):
                return place, _record(job, target, place, header, tell, overseen)
        except NoController as gone:
            raise _lost(job, place) from gone


def _arm(job: Job, target: Target) -> None:
    try:
        session.arm(target, job.data, job.plan.id)
    except Refused as refused:
        raise with_wait(refused, job) from refused


def _caution_new(job: Job, target: Target, tell: Tell) -> None:
    """Before the first runs of a real controller; one that is busy refuses to be armed anyway."""
    with suppress(Refused):
        if target.is_real and target.runs_kept() <= HARDLY_RUN:
            tell(sentences.FIRST_RUN.format(port=job.asked.on))


def _lost(job: Job, place: Path) -> NoController:
    """The controller fell silent with heat perhaps on: what to do comes before why."""
    return NoController(
        Fault(
            sentences.LOST_IN_RUN,
            job.asked.on,
            expected=sentences.LOST_IN_RUN_EXPECTED,
            cure=sentences.LOST_IN_RUN_CURE.format(folder=place),
        )
    )


def _put_documents(job: Job, place: Path) -> dict[str, str]:
    """Copy the documents in; returns the header's hash of each."""
    documents = {folder.PLAN: job.data, **job.documents}
    return {
        f"{name.partition('.')[0]}_sha256": folder.put(place, name, data)
        for name, data in documents.items()
    }


def _header(job: Job, target: Target, hashes: dict[str, str]) -> dict[str, lines.Value]:
    asked = job.asked
    told = {key: value for key, value in target.hello().items() if isinstance(value, str | int)}
    return {
        "heatwright": version("heatwright"),
        **told,
        "name": job.plan.name,
        "on": asked.on,
        **hashes,
        "seed": asked.seed if asked.is_simulated else None,
        "faults": ", ".join(asked.faults) or None,
        "placing": job.placing,
        **set_up(job.source),
        "started": datetime.now().astimezone().isoformat(timespec="seconds"),
    }


def set_up(source: Source | None) -> dict[str, lines.Value]:
    """How it was set up: a model holds for one set-up only."""
    if source is None:
        return {}
    values = {key: getattr(source, key) for key in SET_UP}
    return {key: int(v) if isinstance(v, bool) else str(v) for key, v in values.items()}


def _record(
    job: Job,
    target: Target,
    place: Path,
    header: dict[str, lines.Value],
    tell: Tell,
    overseen: Overseer,
) -> bool:
    """Record the whole run; returns whether it was interrupted."""
    context, progress = shown(tell, time_left(job.plan), TICK_MS)
    with (
        RecordWriter(place / folder.RECORD, header, tell) as writer,
        Keyboard(tell, sentences.STOPPING) as keyboard,
        context,
    ):
        watch, orders = overseen(progress, keyboard)
        begun = Begun(watch)
        session.record(target, writer, begun, orders, tell)
        if not begun:
            raise not_begun(begun.last, job.plan, keyboard.interrupted)
        return keyboard.interrupted


def judged(place: Path, interrupted: bool, tell: Tell) -> Report:
    """Judge the run in this folder; verdict and picture are put beside its record."""
    record = read(place)
    verdict = kept(place).judge(record)
    try:
        folder.put_json(place, folder.VERDICT, verdict.as_json())
        picture.draw(record, verdict, place / folder.PICTURE)
    except BadInput as full_disk:
        # what the run came to is known all the same, and can be judged from the record again
        tell(str(full_disk))
    return Report(outcome_of(record), verdict, trip_of(record), record, place, interrupted)


def true_board(record: Record, above_c: float) -> tuple[float | None, float | None]:
    """Peak and time above liquidus of a simulated plant's board; None, None of a real one."""
    if record.truth is None:
        return None, None
    truth = record.truth
    return float(truth.board_c.max()), time_above(truth.time_s, truth.board_c, above_c)
