"""What a prepared run would do, told before anybody arms it."""

from __future__ import annotations

import datetime as dt
from typing import Any

from heatsim.plant import STEP_S, Plant
from heatwright import sentences
from heatwright.documents.bench import load_bench
from heatwright.documents.checks.checklist import checklist
from heatwright.judging.windows import Measure
from heatwright.judging.wording import amount, window
from heatwright.page.now import SAFE_C
from heatwright.planning.windows import is_missed
from heatwright.running.detection import detection
from heatwright.running.job import Job

# Where nobody knows the source: a small oven with its door open takes about this long.
COOLING_MIN = 30
NO_LIMIT_C = 400.0


def preview(job: Job) -> dict[str, Any]:
    """Curve, windows, checklist, cautions and times of a job; only JSON values."""
    return {
        "title": job.plan.name,
        "on": job.asked.on,
        "real": not job.asked.is_simulated,
        "total_s": job.plan.t_ms[-1] / 1000,
        "longest_s": (job.plan.t_ms[-1] + job.plan.stretch_ms) / 1000,
        "cooling_min": _cooling_min(job),
        "liquidus_c": job.paste.above_c,
        "ceiling_c": job.plan.limits[1] / 1000,
        "plan": _curve(job),
        "stages": [[at / 1000, word] for at, word in _stages(job)],
        "windows": _windows(job),
        "known": bool(job.source),
        "given": job.planned is None,
        "start": _start(job),
        "checklist": _checklist(job),
        "cautions": _cautions(job),
    }


def _cautions(job: Job) -> str:
    """At real heat with how soon a fault of the heater should be noticed."""
    lines = [] if job.asked.is_simulated else detection(job)
    return " ".join([sentences.CAUTIONS.replace("\n", " "), *lines])


def _curve(job: Job) -> list[list[float | None]]:
    plan = job.plan
    board: list[float | None] = [value / 1000 for value in plan.b_mc]
    if len(board) != len(plan.t_ms):
        board = [None] * len(plan.t_ms)
    return [[at / 1000 for at in plan.t_ms], [value / 1000 for value in plan.y_mc], board]


def _stages(job: Job) -> list[tuple[int, str]]:
    from heatcore.codes import STAGES

    flat = list(job.plan.stages)
    return [(flat[i], sentences.STAGE_NAMES[STAGES[flat[i + 1]]]) for i in range(0, len(flat), 2)]


def _windows(job: Job) -> list[dict[str, str]]:
    """What is missed first, then the board's own, then the parts'."""
    found = [_window(one) for one in (job.planned.measures if job.planned else [])]
    return sorted(found, key=lambda one: (one["met"] == "yes", one["part"] != ""))


def _window(measure: Measure) -> dict[str, str]:
    label = sentences.LABELS.get(measure.name, measure.name.replace("_", " "))
    # in the table the part stands in a column of its own
    label = label.replace("{part}: ", "").rstrip(",")
    value = sentences.NOT_KNOWN if measure.value is None else amount(measure.value, measure.unit)
    return {
        "part": measure.part or "",
        "what": label,
        "value": value,
        "window": window(measure),
        "met": "no" if is_missed(measure) else "yes",
    }


def _start(job: Job) -> str:
    low, high = job.plan.start[0] / 1000, job.plan.start[1] / 1000
    return sentences.PAGE_START_WINDOW.format(low=low, high=high)


def _checklist(job: Job) -> list[dict[str, Any]]:
    bench = load_bench(job.paste, job.asked.board)
    now = dt.datetime.now(dt.UTC)
    return [
        {"head": one.head, "items": list(one.items)} for one in checklist(bench, job.source, now)
    ]


def _cooling_min(job: Job) -> int:
    """How long the nominal source keeps the board too hot to pick up, door open."""
    if job.source is None or not len(job.plan.b_mc):
        return COOLING_MIN
    plant = Plant(job.source.plant_params())
    plant.reset(job.asked.ambient_c, min(max(job.plan.b_mc) / 1000, NO_LIMIT_C))
    for step in range(round(COOLING_MIN * 60 / STEP_S)):
        if plant.step(STEP_S, 0.0, 1.0)["air"] < SAFE_C:
            return max(1, round(step * STEP_S / 60))
    return COOLING_MIN
