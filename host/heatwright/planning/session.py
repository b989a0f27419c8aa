"""One planning from documents to files: what ``heatwright plan`` does, step by step."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path

from heatcore.plan import read as read_plan
from heatsim.campaign import read_kept
from heatsim.physics import State
from heatwright import sentences
from heatwright.documents import Source, load_source
from heatwright.errors import BadInput, Fault
from heatwright.judging.windows import Measure
from heatwright.measuring import coverage
from heatwright.measuring.measurement import from_record
from heatwright.planning import keeping, picture, starting, warm
from heatwright.planning.advice import advise
from heatwright.planning.asked import on_its_clock
from heatwright.planning.ensemble import Verified, verify
from heatwright.planning.making import make_plan, params_for
from heatwright.planning.model import Model
from heatwright.planning.nominal import Infeasible, Planned
from heatwright.planning.report import PlanReport
from heatwright.planning.trajectory import Trajectory
from heatwright.planning.trial import Trial
from heatwright.planning.wanted import Wanted, load_wanted
from heatwright.planning.windows import is_decisive, is_missed, windows_of
from heatwright.records import folder
from heatwright.records.reader import Record
from heatwright.records.reader import read as read_record

RUNS = Path("runs")
# From here on a campaign is long enough that being cut would hurt: it goes on where it was.
KEPT_FROM = 1000
KEPT_SUFFIX = ".trials.jsonl"

Progress = Callable[[int, int], None]


class Cut(KeyboardInterrupt):
    """Ctrl-C among the trials: so many of them are kept there, and the same command goes on."""

    def __init__(self, done: int, kept_in: Path) -> None:
        super().__init__()
        self.done, self.kept_in = done, kept_in


@dataclass(frozen=True)
class PlanAsked:
    """The options of ``heatwright plan``."""

    source: str
    paste: str = "sac305"
    board: str | None = None
    parts: tuple[str, ...] = ()
    profile: str | None = None
    sensor: str = "sensor"
    ambient_c: float = 25.0
    start: str = "cold"
    after: Path | None = None
    reads_c: float | None = None
    ensemble: int = 0
    cluster: str | None = None
    out: Path = Path("plan.json")
    details: bool = False

    @property
    def is_repeatable(self) -> bool:
        """Whether it is the same plan later: a source cools on from the run before."""
        return self.start != "now" or self.reads_c is not None


def plan(asked: PlanAsked, progress: Progress) -> PlanReport:
    """Plan, verify and write. Raises `BadInput`; what is infeasible is told in the report."""
    keeping.check_free(asked.out)
    source = load_source(asked.source)
    wanted = _wanted(asked, source)
    model = Model(params_for(source, wanted), wanted.ambient_c)
    clocked = on_its_clock(model, wanted) if asked.profile else None
    try:
        planned: Planned | None = make_plan(source, wanted)
        measures, reason = planned.measures if planned else [], ""
    except Infeasible as error:
        planned, measures, reason = None, list(error.measures), str(error)
    reason = reason or _reason(measures)
    found = PlanReport(
        source=source,
        wanted=wanted,
        planned=planned,
        measures=measures,
        reason=reason,
        advice=advise(model.params, wanted, measures),
        asked=_of(clocked, wanted) if clocked else None,
        warnings=coverage.no_longer_holds(source, RUNS),
    )
    if planned is None or not found.feasible:
        return found
    verified = _verified(asked, planned, source, wanted, progress)
    earlier_at = keeping.write_plan(asked.out, planned.plan)
    picture_at = keeping.picture_of(asked.out)
    picture.draw(picture_at, model, planned, wanted, clocked=clocked, details=asked.details)
    ready = _ready(asked, planned, model)
    return replace(
        found,
        ensemble=verified,
        plan_at=asked.out,
        earlier_at=earlier_at,
        picture_at=picture_at,
        ready=ready,
    )


def _ready(asked: PlanAsked, planned: Planned, model: Model) -> str:
    """Whether the source, as warm as it reads now, may start; a plan from now starts now."""
    if asked.reads_c is None or asked.start == "now":
        return ""
    return starting.ready(model, read_plan(planned.plan), asked.reads_c)


def _wanted(asked: PlanAsked, source: Source) -> Wanted:
    wanted = load_wanted(asked, asked.parts)
    return replace(wanted, state=_state(asked, source, wanted)) if asked.start == "now" else wanted


def _state(asked: PlanAsked, source: Source, wanted: Wanted) -> State:
    """How warm the source is: from the run before and the time since, or from what it reads."""
    model = Model(params_for(source, wanted), wanted.ambient_c)
    if asked.reads_c is not None:
        return warm.at_reading(model, asked.reads_c)
    record = read_record(asked.after) if asked.after else _latest(source)
    if record is None:
        raise BadInput(
            Fault(sentences.NEEDS_READING, "--start now", cure=sentences.NEEDS_READING_CURE)
        )
    return warm.after_run(model, from_record(record), _since_s(record))


def _latest(source: Source) -> Record | None:
    """The newest run in runs/ that was made on this source."""
    places = sorted((p for p in RUNS.glob("*") if (p / folder.RECORD).is_file()), reverse=True)
    for place in places:
        kept = place / folder.SOURCE
        if kept.is_file() and load_source(kept).name == source.name:
            return read_record(place)
    return None


def _since_s(record: Record) -> float:
    """Seconds from the run's end to now."""
    started = datetime.fromisoformat(str(record.header["started"])).astimezone()
    passed_s = (datetime.now().astimezone() - started).total_seconds()
    return max(passed_s - float(record.time_s[-1]), 0.0)


def _reason(measures: list[Measure]) -> str:
    """Which decisive window is missed, and by how much."""
    missed = [m for m in measures if is_missed(m) and is_decisive(m)]
    return "; ".join(
        sentences.PLAN_MISSES.format(
            label=sentences.LABELS[m.name].format(part=m.part),
            value=f"{m.value:.4g} {m.unit}",
            by=f"{abs(m.margin or 0.0):.3g} {m.unit}",
            side=sentences.UNDER if m.is_low else sentences.OVER,
        )
        for m in missed
    )


def _of(clocked: Trajectory, wanted: Wanted) -> dict[str, float]:
    values = {m.name: m.value for m in windows_of(clocked.fine_s, clocked.fine, wanted)}
    return {
        "peak_c": values["peak"] or 0.0,
        "above_liquidus_s": values["time_above_liquidus"] or 0.0,
        "asked_peak_c": wanted.profile.peak_c,
    }


def _verified(
    asked: PlanAsked, planned: Planned, source: Source, wanted: Wanted, progress: Progress
) -> Verified | None:
    if not asked.ensemble:
        return None
    trial = Trial(planned.plan, source, wanted)
    kept = None
    if asked.ensemble >= KEPT_FROM:
        kept = asked.out.with_suffix(f".{read_plan(planned.plan).id}{KEPT_SUFFIX}")
    try:
        return verify(trial, asked.ensemble, cluster=asked.cluster, progress=progress, kept_in=kept)
    except KeyboardInterrupt:
        done = len(read_kept(kept)) if kept else 0
        if kept and done and asked.is_repeatable:
            raise Cut(done, kept) from None
        raise
