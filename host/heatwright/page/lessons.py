"""What a run that is over teaches: its melt marks, and the plan's next generation.

Made in the process that computes: refitting a source and planning anew take seconds.
"""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any, NamedTuple

from heatcore.plan import Plan
from heatcore.plan import read as read_plan
from heatwright import sentences
from heatwright.measuring import mark_report
from heatwright.planning import refinement
from heatwright.records import folder, melt_marks
from heatwright.records.reader import read
from heatwright.running.time_left import clock

# A plan that runs have made better, beside the record that it was learnt from.
BETTER = "plan.g[0-9]*.json"
NAMED = re.compile(r"(?P<run>[^/\\]+)/(?P<plan>plan\.g\d+\.json)")
OFFERED = 8


class Lesson(NamedTuple):
    """The next generation of a run's plan, not kept yet, and what would change."""

    refined: refinement.Refined
    changes: list[str]
    curves: list[dict[str, Any]]


def marks(place: Path) -> list[dict[str, Any]]:
    """The marks of a run that stand; ``later`` are those made afterwards, which can be undone."""
    return [
        {
            "at": clock(round(1000 * mark.time_s)),
            "seen": sentences.PAGE["seen"][mark.seen],
            "later": mark.number > 0,
        }
        for mark in melt_marks.marks_of(read(place))
    ]


def add_mark(place: Path, at: str, seen: str, sure: bool) -> None:
    """Keep what a person saw, when, as ``mark`` does. Raises `BadInput`."""
    kind = next((one for one in melt_marks.SEEN if one == seen), melt_marks.SEEN[0])
    mark_report.marked(read(place), mark_report.Wanted(at=at, seen=kind, force=sure), None)


def undo_mark(place: Path) -> None:
    """Take the latest mark made afterwards back. Raises `BadInput`."""
    melt_marks.undo(read(place).path)


def lesson(place: Path) -> Lesson:
    """What this run would change in its plan. Raises `BadInput` where it teaches nothing."""
    plan_at = place / folder.PLAN
    found = refinement.refine(plan_at, [place])
    before, after = read_plan(plan_at.read_bytes()), read_plan(found.plan)
    of_board, of_power = sentences.PAGE["lesson_curves"]
    plans = (before, after)
    curves = [_board(name, plan) for name, plan in zip(of_board, plans, strict=True)]
    curves += [_power(name, plan) for name, plan in zip(of_power, plans, strict=True)]
    return Lesson(found, found.changes, curves)


def _board(name: str, plan: Plan) -> dict[str, Any]:
    values = plan.b_mc if len(plan.b_mc) else plan.y_mc
    pairs = zip(plan.t_ms, values, strict=True)
    return {"name": name, "points": [[at / 1000, value / 1000] for at, value in pairs]}


def _power(name: str, plan: Plan) -> dict[str, Any]:
    pairs = zip(plan.t_ms, plan.u, strict=True)
    return {"name": name, "scale": "%", "points": [[at / 1000, u / 100] for at, u in pairs]}


def keep(place: Path, found: Lesson) -> str:
    """Keep the next generation beside the run's plan; returns ``RUN/FILE``."""
    kept = refinement.keep_beside(found.refined, place / folder.PLAN)
    return f"{place.name}/{kept.path.name}"


def better_plans(out: Path) -> list[str]:
    """Plans that were made better by runs, the latest first, as ``RUN/FILE``."""
    found = sorted(out.glob(f"*/{BETTER}"), reverse=True)[:OFFERED]
    return [f"{path.parent.name}/{path.name}" for path in found]


def plan_path(out: Path, name: str) -> Path | None:
    """The file of ``RUN/FILE``; a path that leads elsewhere is none."""
    named = NAMED.fullmatch(name)
    path = out / name
    is_inside = named is not None and path.resolve().parent.parent == out.resolve()
    return path if is_inside and path.is_file() else None
