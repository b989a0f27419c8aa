"""The guided measuring run: its plan on whatever controller there is, recorded into a folder."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from heatcore.plan import read as read_plan
from heatwright import sentences
from heatwright.documents import Source, load_paste, load_source, locate
from heatwright.errors import EXIT_TRIPPED, HeatwrightError
from heatwright.measuring import band, candidate, marking, plausible
from heatwright.planning.open_loop import measuring_plan
from heatwright.planning.see_melt import see_melt_plan
from heatwright.records import folder
from heatwright.records.reader import read
from heatwright.running.connect import connect
from heatwright.running.execute import Overseer, Tell, alone, recorded
from heatwright.running.job import Asked, Job
from heatwright.running.outcome import trip_line, trip_of
from heatwright.running.see_melt import SeeMelt, afterwards, unseen
from heatwright.running.session import Orders, Watch
from heatwright.running.target import Target


class GuidedTripped(HeatwrightError):
    """The measuring run was stopped for safety: there is nothing whole to learn from."""

    exit_code = EXIT_TRIPPED


@dataclass(frozen=True)
class Guided:
    """What a person asks a guided run for; ``set_up``: the source file that describes it."""

    on: str
    kind: str
    sensor: str = "sensor"
    seed: int = 1
    paste: str = "sac305"
    set_up: str | None = None

    @property
    def asked(self) -> Asked:
        source = self.set_up or self.kind
        return Asked(
            on=self.on, source=source, sensor=self.sensor, seed=self.seed, paste=self.paste
        )

    @property
    def known(self) -> Source:
        """What is known of the source beforehand: its kind, and the power on its type plate."""
        if self.set_up is None:
            return load_source(self.kind)
        return candidate.base_for(self.kind, Path(self.set_up))


def _at_once(job: Job) -> Target:
    return connect(job.asked, None)


@dataclass(frozen=True)
class Means:
    """How a guided run is begun and who else watches it; a page brings its own.

    ``looked`` is told the hottest plausible board of a see-it-melt run, C, at each look.
    """

    connect: Callable[[Job], Target] = _at_once
    overseen: Overseer = alone
    looked: Callable[[float], None] = unseen


AT_ONCE = Means()


def run_guided(guided: Guided, out: Path, tell: Tell, means: Means = AT_ONCE) -> Path:
    """Do a measuring run; returns its folder.

    Raises `Refused` where it can't begin, `GuidedTripped` where it was stopped for safety.
    """
    plan = measuring_plan(guided.known.plant_params(), guided.sensor)
    job = _job(guided, plan)
    _caution(job, tell, sentences.GUIDED)
    place, _ = recorded(job, means.connect(job), out, tell, means.overseen)
    _check(place)
    return place


def run_see_melt(guided: Guided, out: Path, tell: Tell, means: Means = AT_ONCE) -> Path:
    """Do a see-it-melt run; returns its folder, and tells what it came to.

    Raises `NotSafe` where too little is known of the source, else as `run_guided`.
    """
    kind, paste = guided.known, load_paste(guided.paste)
    job = _job(guided, see_melt_plan(kind, paste, guided.sensor))
    _caution(job, tell, sentences.SEE_MELT)

    def watched(show: Watch, person: Orders) -> tuple[Watch, Orders]:
        both = SeeMelt(kind, *means.overseen(show, person), tell, means.looked, guided.sensor)
        return both, both

    place, _ = recorded(job, means.connect(job), out, tell, watched)
    _check(place)
    tell(_came_to(kind, place, paste.liquidus_c))
    return place


def _came_to(kind: Source, place: Path, liquidus_c: float) -> str:
    record = read(place)
    run = marking.marked_run(kind, record)
    likely = plausible.likeliest(kind, run)
    return afterwards(record, likely.states()[:, band.BOARD], liquidus_c)


def _caution(job: Job, tell: Tell, words: str) -> None:
    if not job.asked.is_simulated:
        tell(sentences.CAUTIONS)
    tell(words)


def _check(place: Path) -> None:
    trip = trip_of(read(place))
    if trip:
        raise GuidedTripped(sentences.GUIDED_TRIPPED.format(trip=trip_line(trip), folder=place))


def _job(guided: Guided, plan: bytes) -> Job:
    asked = guided.asked
    source = load_source(str(asked.source))
    # the paste too: a melt that is marked is one of its alloy
    documents = {
        folder.SOURCE: locate("source", str(asked.source)).read_bytes(),
        folder.PASTE: locate("paste", asked.paste).read_bytes(),
    }
    return Job(asked, load_paste(asked.paste), source, plan, read_plan(plan), None, documents)
