"""The guided measuring run: its plan on whatever controller there is, recorded into a folder."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from heatcore.plan import read as read_plan
from heatwright import sentences
from heatwright.documents import load_paste, load_source, locate
from heatwright.errors import EXIT_TRIPPED, HeatwrightError
from heatwright.planning.open_loop import measuring_plan
from heatwright.records import folder
from heatwright.records.reader import read
from heatwright.running.connect import connect
from heatwright.running.execute import Tell, recorded
from heatwright.running.job import Asked, Job
from heatwright.running.outcome import trip_line, trip_of


class GuidedTripped(HeatwrightError):
    """The measuring run was stopped for safety: there is nothing whole to learn from."""

    exit_code = EXIT_TRIPPED


@dataclass(frozen=True)
class Guided:
    """What a person asks a guided run for."""

    on: str
    kind: str
    sensor: str = "sensor"
    seed: int = 1
    set_up: str | None = None


def run_guided(asked: Guided, out: Path, tell: Tell) -> Path:
    """Do the run; returns its folder. ``set_up`` is a source file that describes the set-up.

    Raises `Refused` where it can't begin, `GuidedTripped` where it was stopped for safety.
    """
    job = _job(asked)
    if not job.asked.is_simulated:
        tell(sentences.CAUTIONS)
    tell(sentences.GUIDED)
    place, _ = recorded(job, connect(job.asked, None), out, tell)
    trip = trip_of(read(place))
    if trip:
        raise GuidedTripped(sentences.GUIDED_TRIPPED.format(trip=trip_line(trip), folder=place))
    return place


def _job(asked: Guided) -> Job:
    source = load_source(asked.set_up or asked.kind)
    kind = load_source(asked.kind)
    data = measuring_plan(kind.plant_params(), asked.sensor)
    wanted = Asked(
        on=asked.on, source=asked.set_up or asked.kind, sensor=asked.sensor, seed=asked.seed
    )
    documents = {folder.SOURCE: locate("source", wanted.source or "").read_bytes()}
    return Job(wanted, load_paste(wanted.paste), source, data, read_plan(data), None, documents)
