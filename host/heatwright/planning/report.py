"""What a plan comes to, for a person and for a program: windows, margins, advice, ensemble."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from heatcore import plan as core
from heatsim.params import PlantParams
from heatwright import sentences
from heatwright.documents import Source
from heatwright.documents.load import differs, known_load, load_of
from heatwright.judging.windows import Measure
from heatwright.planning import starting
from heatwright.planning.advice import Advice
from heatwright.planning.ensemble import Verified
from heatwright.planning.nominal import Planned
from heatwright.planning.schedule import Row
from heatwright.planning.wanted import Wanted
from heatwright.planning.windows import is_decisive, is_missed

SCHEMA_VERSION = 1
DIGITS = {"°C": 1, "s": 0, "°C/s": 2}
# A bead that lags by more than this sets the pace of the whole loop.
SLOW_BEAD_S = 6.0
# Whole mains cycles are shared out over a window of this length.
BURST_S = 1.0
BURST_DEGREES = 5.0
RINGING_MS = 2.05
# Of ovens like one's own: fewer than so many, and boards are lost to what is not known of it.
GOOD_SHARE = 0.9


@dataclass(frozen=True)
class PlanReport:
    """All that `plan` tells; ``asked`` holds peak and time above liquidus of the asked profile;
    ``warnings``: in what the set-up is not the one that was learnt."""

    source: Source
    wanted: Wanted
    planned: Planned | None
    measures: Sequence[Measure]
    reason: str
    advice: Sequence[Advice]
    ensemble: Verified | None = None
    plan_at: Path | None = None
    earlier_at: Path | None = None
    picture_at: Path | None = None
    asked: dict[str, float] | None = None
    warnings: Sequence[str] = ()
    ready: str = ""

    @property
    def feasible(self) -> bool:
        return self.planned is not None and self.planned.is_feasible

    def as_json(self) -> dict[str, Any]:
        """The document of ``plan --json``."""
        ensemble = self.ensemble
        return {
            "schema_version": SCHEMA_VERSION,
            "feasible": self.feasible,
            "plan": str(self.plan_at) if self.plan_at else None,
            "earlier_plan": str(self.earlier_at) if self.earlier_at else None,
            "windows": [_window(m) for m in self.measures],
            "advice": [one.as_json() for one in self.advice],
            "ensemble": _ensemble(ensemble) if ensemble else None,
            "reason": self.reason,
            "asked": self.asked,
            "start": self._start(),
            "ready": self.ready or None,
            "loop": [_row(row) for row in self.planned.rows] if self.planned else [],
            "load_j_k": load_j_k(self.source.plant_params(), self.wanted),
            "picture": str(self.picture_at) if self.picture_at else None,
            "warnings": list(self.warnings),
        }

    def _start(self) -> dict[str, float] | None:
        if self.planned is None:
            return None
        low, high, rest_s = core.read(self.planned.plan).start
        return {"sensor_min_c": low / 1000, "sensor_max_c": high / 1000, "rest_min_s": rest_s}


def load_j_k(params: PlantParams, wanted: Wanted) -> float:
    """What board and parts take, as planned for."""
    load = load_of(wanted.board, wanted.fitted) if wanted.board else known_load(params)
    return round(load.whole_j_k, 2)


def _window(m: Measure) -> dict[str, Any]:
    return {
        "name": m.name,
        "low": m.low,
        "high": m.high,
        "predicted": m.value,
        "margin": m.margin,
        "met": m.value is not None and not is_missed(m),
        "unit": m.unit,
        "part": m.part,
        "status": m.status,
        "source": m.source,
    }


def _ensemble(found: Verified) -> dict[str, Any]:
    return {
        "sources": found.sources,
        "in_window": found.in_window,
        "sentence": found.sentence(),
        "misses": [[cause, count] for cause, count, _ in found.misses],
        "soft_misses": found.soft,
    }


def _row(row: Row) -> dict[str, float]:
    return {
        "from_s": row.from_s,
        "gain_margin": row.margins.gain,
        "phase_margin_deg": row.margins.phase_deg,
        "delay_margin_s": row.margins.delay_s,
        "ms": row.margins.ms,
        "worst_ms": row.worst_ms,
    }


def lines(report: PlanReport, details: bool = False) -> Iterator[str]:
    """What a person reads."""
    yield from report.warnings
    yield _headline(report)
    yield from (_line(m) for m in report.measures if m.part is None or is_missed(m))
    soft = [m for m in report.measures if is_missed(m) and not is_decisive(m)]
    if report.feasible and soft:
        names = ", ".join(sentences.LABELS[m.name].format(part=m.part) for m in soft)
        yield sentences.PLAN_SOFT.format(names=names)
    if report.asked:
        yield _asked(report.asked, report.wanted)
    yield from _board_line(report.source.plant_params(), report.wanted)
    if report.planned:
        yield from loop_warnings(report.source.plant_params(), report.wanted, report.planned.rows)
    if details and report.planned:
        yield from (_margin_line(row) for row in report.planned.rows)
    if report.advice:
        yield sentences.PLAN_ADVICE
        yield from (f"  {one.text}" for one in report.advice)
    if report.ensemble:
        yield report.ensemble.sentence()
        yield from filter(None, [report.ensemble.soft_sentence()])
        yield from _unmeasured(report)
    if report.planned and report.feasible:
        yield starting.window(core.read(report.planned.plan))
    if report.ready:
        yield report.ready
    if report.picture_at:
        yield sentences.PLAN_PICTURE.format(path=report.picture_at)
    if report.plan_at:
        yield sentences.PLAN_WRITTEN.format(path=report.plan_at)
        if report.earlier_at:
            yield sentences.PLAN_EARLIER.format(path=report.earlier_at)
    elif not report.feasible:
        yield sentences.PLAN_NOT_WRITTEN


def _unmeasured(report: PlanReport) -> Iterator[str]:
    """What to do where a plan fails too often since too little is known of the source."""
    found, source = report.ensemble, report.source
    if not found or found.in_window >= GOOD_SHARE * found.sources:
        return
    has_bead = report.wanted.reads == "board_sensor"
    if not source.learnt_on:
        yield sentences.PLAN_MEASURE.format(bead="" if has_bead else sentences.PLAN_OR_BEAD)
    elif not has_bead and not source.marked_from:
        yield sentences.PLAN_MARK


def _headline(report: PlanReport) -> str:
    name = report.source.name or report.source.kind
    paste = report.wanted.paste.name
    values = {m.name: m.value or 0.0 for m in report.measures if m.part is None}
    if not report.feasible:
        return sentences.PLAN_INFEASIBLE.format(source=name, paste=paste, why=report.reason)
    found = report.planned.trajectory if report.planned else None
    door = told_to_open(report.source.kind, found.door_cue_s if found else None)
    return sentences.PLAN_FEASIBLE.format(
        source=name,
        paste=paste,
        peak=f"{values['peak']:.0f} °C",
        above=f"{values['time_above_liquidus']:.0f} s",
        door=door,
    )


def told_to_open(kind: str, cue_s: float | None) -> str:
    """When the door is to be opened, the board lifted off or the gun taken away; "" for never."""
    if cue_s is None:
        return ""
    return sentences.PLAN_ENDS.get(kind, sentences.PLAN_DOOR).format(at=f"{cue_s:.0f} s")


def _line(m: Measure) -> str:
    digits = DIGITS[m.unit]
    ends = [f"{end:.{digits}f}" if end is not None else "" for end in (m.low, m.high)]
    value = sentences.PLAN_NO_VALUE if m.value is None else f"{m.value:.{digits}f} {m.unit}"
    return sentences.PLAN_WINDOW.format(
        met="x" if is_missed(m) else " ",
        label=sentences.LABELS[m.name].format(part=m.part).rstrip(","),
        value=value,
        window=f"{ends[0]} to {ends[1]}".strip(),
        margin="" if m.margin is None else f"{m.margin:+.{digits}f}",
    )


def _asked(asked: dict[str, float], wanted: Wanted) -> str:
    return sentences.PLAN_ASKED.format(
        peak=f"{asked['peak_c']:.0f} °C",
        above=f"{asked['above_liquidus_s']:.0f} s",
        asked=f"{wanted.profile.peak_c:.0f} °C",
    )


def _board_line(params: PlantParams, wanted: Wanted) -> Iterator[str]:
    if wanted.board is None:
        return
    mine = load_of(wanted.board, wanted.fitted).whole_j_k
    theirs = known_load(params).whole_j_k
    if differs(mine, theirs):
        yield sentences.PLAN_BOARD.format(mine=mine, theirs=theirs)


def _margin_line(row: Row) -> str:
    return sentences.PLAN_MARGINS.format(
        at=f"{row.from_s:.0f} s",
        gain=row.margins.gain,
        phase=row.margins.phase_deg,
        ms=row.margins.ms,
        worst=row.worst_ms,
    )


def loop_warnings(params: PlantParams, wanted: Wanted, rows: Sequence[Row]) -> Iterator[str]:
    """What spoils the loop: a bead that lags, a firing window too long, thin margins."""
    lag_s = params.board_sensor_s if wanted.reads == "board_sensor" else params.sensor_s
    if lag_s > SLOW_BEAD_S:
        yield sentences.PLAN_SLOW_LOOP.format(lag=lag_s)
    if not rows:
        return
    quickest = max(row.margins.phase_deg / max(row.margins.delay_s, 1e-6) for row in rows)
    # a window is on average half its length late
    degrees = quickest * BURST_S / 2
    if degrees > BURST_DEGREES:
        yield sentences.PLAN_BURST.format(window=BURST_S, degrees=degrees)
    worst = max(row.worst_ms for row in rows)
    if worst > RINGING_MS:
        yield sentences.PLAN_RINGS.format(ms=worst)
