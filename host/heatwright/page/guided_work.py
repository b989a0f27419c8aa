"""A guided run in a process of its own, then what is learnt from it: a source that may be kept."""

from __future__ import annotations

from dataclasses import dataclass
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Any

from heatwright import sentences
from heatwright.documents import load_source
from heatwright.errors import BadInput, Fault
from heatwright.measuring.marking import marked_run
from heatwright.measuring.report import Report, measured
from heatwright.page.board_now import Watcher
from heatwright.page.now import Now
from heatwright.page.preview import preview
from heatwright.page.work import PageOrders, Wire, attended, await_start, wired
from heatwright.records.lines import TRUTH, TRUTH_FIELDS
from heatwright.records.reader import read
from heatwright.running.guided import Guided, Means, run_guided, run_see_melt
from heatwright.running.job import Job
from heatwright.running.session import Orders, Watch
from heatwright.running.simulated import SimulatedTarget
from heatwright.running.target import Line, Target
from heatwright.running.time_left import time_left

# From about here flux is wet and glossy: common practice, no source.
FLUX_WETS_C = 110.0


@dataclass(frozen=True)
class Learning:
    """What a person asks for at the page: ``name`` of the source, kept at ``source_at``."""

    guided: Guided
    name: str
    source_at: Path
    sees_melt: bool


@dataclass
class _Guide:
    """Begins the run when the page says so, and shows it there."""

    wire: Wire
    learning: Learning
    speed: float
    far: bool
    job: Job | None = None
    seen: str = ""
    target: Target | None = None
    now: Now | None = None

    @property
    def means(self) -> Means:
        return Means(self.connect, self.overseen, self.looked)

    def connect(self, job: Job) -> Target:
        """Wait for the two steps. Raises `BadInput` where nobody takes them any more."""
        self.wire.send({"phase": "ready", "preview": _preview(job, self.learning)})
        speed = await_start(self.wire, self.speed)
        if not self.wire.there:
            raise BadInput(Fault(sentences.PAGE_STOPPED_EARLY))
        self.job, self.target = job, attended(self.wire, job.asked, speed, self.far)
        if isinstance(self.target, SimulatedTarget):
            # whoever looks at the page is asked, as beside a real source
            self.target.unattended()
        # nobody knows this source yet: no model says what its board has
        watcher = Watcher(job.placing, None, job.asked.ambient_c)
        self.now = Now(watcher, self.wire.send, time_left(job.plan), job.paste.above_c)
        return self.target

    def overseen(self, show: Watch, keyboard: Orders) -> tuple[Watch, Orders]:
        assert self.now
        assert self.target
        self.wire.send({"phase": "running"})
        return self.watch, PageOrders(self.wire, keyboard, self.target, self.now)

    def watch(self, line: Line) -> None:
        assert self.now
        self.now(line)
        if line[0] == TRUTH and self.learning.sees_melt:
            self._look(line[1 + TRUTH_FIELDS.index("board_mc")] / 1000)

    def _look(self, board_c: float) -> None:
        """What an eye would see of a simulated dot of paste: told where it changes."""
        assert self.job
        paste = self.job.paste
        edges = (FLUX_WETS_C, paste.solidus_c, paste.liquidus_c)
        seen = sentences.PAGE_DOT[sum(board_c >= edge for edge in edges)]
        if seen != self.seen:
            self.seen = seen
            self.wire.send({"dot": seen})

    def looked(self, hottest_c: float) -> None:
        self.wire.send({"hottest": sentences.PAGE_HOTTEST.format(hottest=hottest_c)})

    def tell(self, text: str) -> None:
        """What stands on the page before heat is written there already."""
        if self.target:
            self.wire.send({"said": text})


def learn(pipe: Connection, learning: Learning, runs: Path, speed: float, far: bool) -> None:
    """Guide the run, record it in a folder of ``runs``, and leave a candidate of the source."""
    with wired(pipe) as wire:
        guide = _Guide(wire, learning, speed, far)
        run = run_see_melt if learning.sees_melt else run_guided
        try:
            place = run(learning.guided, runs, guide.tell, guide.means)
        finally:
            if guide.now:
                guide.now.tell_rest()
        wire.send({"phase": "learning"})
        source = load_source(str(learning.guided.asked.source))
        found = measured(
            learning.guided.kind, [marked_run(source, read(place))], [], learning.source_at
        )
        wire.send({"phase": "over", "over": _over(learning, place, found)})


def _preview(job: Job, learning: Learning) -> dict[str, Any]:
    """A measuring run has no target and no windows: it shows what the source does."""
    title = sentences.PAGE["see_melt" if learning.sees_melt else "measuring"]
    return preview(job) | {
        "title": title.format(name=learning.name),
        "plan": [[], [], []],
        "sees_melt": learning.sees_melt,
        "windows": [],
    }


def _over(learning: Learning, place: Path, found: Report) -> dict[str, Any]:
    score = found.learnt.held_out
    return {
        "run": place.name,
        "name": learning.name,
        "kind": learning.guided.kind,
        "sees_melt": learning.sees_melt,
        "score": sentences.MEASURED.format(**vars(score)),
        "level": sentences.LEVELS[found.learnt.level],
        "warnings": found.warnings,
    }
