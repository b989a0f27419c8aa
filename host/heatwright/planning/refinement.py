"""From a plan and the records of its runs to the plan's next generation; the old one stays."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np

from heatcore import codes
from heatcore import plan as core
from heatwright import sentences
from heatwright.documents import Profile, Source, load_profile, load_source, write_document
from heatwright.documents.load import for_board
from heatwright.documents.own_profile import own_profile
from heatwright.documents.writing import write_beside
from heatwright.errors import BadInput, Fault
from heatwright.judging.board import ON_THE_BOARD
from heatwright.judging.ending import first_trip
from heatwright.judging.kept import kept
from heatwright.measuring import candidate
from heatwright.measuring.fitting import Solution
from heatwright.measuring.marking import marked_run, refit
from heatwright.measuring.measurement import Measurement
from heatwright.measuring.parameters import Prior
from heatwright.planning import lesson_picture
from heatwright.planning.keeping import Generation, next_generation, picture_of
from heatwright.planning.learning import AFTER_PEAK_S, Lesson, learn, taught
from heatwright.planning.lesson_picture import Taught
from heatwright.planning.making import make_plan
from heatwright.planning.model import BOARD, Model
from heatwright.planning.on_clock import board_c, clock_s, mean, melts_s, ran
from heatwright.planning.wanted import Wanted
from heatwright.records import folder
from heatwright.records.melt_marks import marks_of
from heatwright.records.reader import Record
from heatwright.records.reader import read as read_record

SCHEMA_VERSION = 1
CUT_SHORT = {
    codes.NOTE_STOPPED: "stopped",
    codes.NOTE_HOST_LOST: "stopped",
    codes.NOTE_DOOR_LEFT_OPEN: "stopped",
    codes.NOTE_NOT_MELTED: "unmelted",
    codes.NOTE_NOT_CONFIRMED: "unmelted",
}
# Numbers of a source that moved by less than this are not worth a line.
TOLD_SHARE, MOST_TOLD = 0.03, 5
WARM_K = 10.0


@dataclass(frozen=True)
class Refined:
    """The next generation of a plan, what changed and why, and which records were left out."""

    plan: bytes
    how: str
    changes: list[str]
    used: list[str]
    left_out: dict[str, str]
    taught: Taught
    numbers: dict[str, float] = field(default_factory=dict)
    source: Source | None = None

    def draw(self, path: Path) -> None:
        """Write the picture of what changed and of the runs that taught it, as a PNG."""
        lesson_picture.draw(path, self.taught, core.read(self.plan), self.changes)

    def as_json(self, at: Path, generation: int, is_new: bool) -> dict[str, Any]:
        """The document of ``refine --json``; ``new``: this generation did not lie there yet."""
        return {
            "schema_version": SCHEMA_VERSION,
            "plan": str(at),
            "picture": str(picture_of(at)),
            "generation": generation,
            "new": is_new,
            "how": self.how,
            "changes": self.changes,
            "used": self.used,
            "source": str(source_beside(at)) if self.source else None,
            "left_out": self.left_out,
            **self.numbers,
        }


def refine(plan_at: Path, records: Sequence[Path], source_name: str | None = None) -> Refined:
    """Learn from these runs of this plan. Raises `BadInput` where there is nothing to learn."""
    data, plan = _read_plan(plan_at)
    found = {str(path): read_record(path) for path in records}
    refused = {name: why for name, one in found.items() if (why := _unfit(one, data, plan))}
    used = [one for name, one in found.items() if name not in refused]
    if not used:
        told = "; ".join(f"{name}: {why}" for name, why in refused.items())
        what, cure = sentences.NOTHING_TO_REFINE, sentences.NOTHING_TO_REFINE_CURE
        raise BadInput(Fault(what, str(plan_at), told, sentences.WHOLE_RUN_OF_PLAN, cure))
    source = load_source(source_name) if source_name else kept(used[0].path.parent).source
    if source is None:
        raise BadInput(
            Fault(sentences.REFINE_NEEDS_SOURCE, str(used[0].path), cure="--source FILE")
        )
    names = [name for name in found if name not in refused]
    if all(board_c(one) is not None for one in used):
        return _from_beads(data, plan, source, used, names, refused)
    if any(marks_of(one) for one in used):
        return _from_marks(plan, source, used, names, refused)
    raise BadInput(
        Fault(sentences.NO_BEAD_NO_MARK, ", ".join(names), cure=sentences.NO_BEAD_NO_MARK_CURE)
    )


def _read_plan(path: Path) -> tuple[bytes, core.Plan]:
    expected, cure = sentences.PLAN_TO_REFINE, sentences.PLAN_TO_REFINE_CURE
    try:
        data = path.read_bytes()
        plan = core.read(data)
    except OSError as error:
        found = str(error.strerror)
        raise BadInput(Fault(sentences.PLAN_CLOSED, str(path), found, expected, cure)) from error
    except core.PlanError as error:
        fault = Fault(sentences.PLAN_BROKEN, str(path), str(error), expected, cure)
        raise BadInput(fault) from error
    if plan.law != codes.TRACK:
        raise BadInput(Fault(sentences.PLAN_NO_TRAJECTORY, str(path), cure="heatwright plan"))
    return data, plan


def _unfit(record: Record, data: bytes, plan: core.Plan) -> str:
    """Why nothing is learnt from this run; empty where it is whole and sound."""
    if record.header.get("plan_sha256") != hashlib.sha256(data).hexdigest():
        return sentences.UNFIT["other_plan"]
    if first_trip(record) or record.raw["trip"].any():
        return sentences.UNFIT["tripped"]
    if any(event.code == codes.EVENT_STOP for event in record.events):
        return sentences.UNFIT["stopped"]
    cut = [CUT_SHORT[note] for note in np.unique(record.raw["note"]) if note in CUT_SHORT]
    if cut:
        return sentences.UNFIT[cut[0]]
    peak_ms = plan.t_ms[int(np.argmax(plan.b_mc))]
    if clock_s(record)[-1] < peak_ms / 1000 + AFTER_PEAK_S:
        return sentences.UNFIT["short"]
    return ""


def _from_beads(
    data: bytes,
    plan: core.Plan,
    source: Source,
    used: Sequence[Record],
    names: list[str],
    refused: dict[str, str],
) -> Refined:
    bench = kept(used[0].path.parent).bench
    params = for_board(source.plant_params(), bench.board, bench.fitted)
    model = Model(params, plan.b_mc[0] / 1000)
    reads_board = used[0].header.get("placing") in ON_THE_BOARD
    runs = [ran(one) for one in used]
    lesson = learn(plan, model, mean(runs), reads_board)
    return Refined(
        plan=taught(data, lesson),
        how="learning",
        changes=list(_told(lesson)),
        used=names,
        left_out=refused,
        taught=Taught(plan, bench.paste, runs, missing_k=lesson.missing_k),
        numbers={
            "rms_k": round(lesson.rms_k, 3),
            "expected_rms_k": round(lesson.expected_k, 3),
            "duty_change": round(lesson.duty_change, 4),
            "sensor_change_k": round(lesson.sensor_change_k, 2),
        },
    )


def _told(lesson: Lesson) -> Iterator[str]:
    yield sentences.LEARNT.format(rms=lesson.rms_k, expected=lesson.expected_k)
    yield sentences.LEARNT_DUTY.format(change=100 * lesson.duty_change)
    if lesson.sensor_change_k > 0:
        yield sentences.LEARNT_SENSOR.format(change=lesson.sensor_change_k)
    if lesson.bounded:
        yield sentences.LEARNT_BOUNDED


def _from_marks(
    plan: core.Plan,
    source: Source,
    used: Sequence[Record],
    names: list[str],
    refused: dict[str, str],
) -> Refined:
    """The source learns from the marks, and the plan is made anew on it."""
    learnt, told = _learnt_by_marks(source, used)
    place = used[0].path.parent
    bench = kept(place).bench
    profile_at = place / folder.PROFILE
    profile = load_profile(profile_at) if profile_at.is_file() else _own(place)
    wanted = Wanted(
        paste=bench.paste,
        profile=profile,
        peak_may_move=profile == _own(place),
        reads="sensor",
        ambient_c=plan.b_mc[0] / 1000,
        start_c=plan.y_mc[0] / 1000 if plan.y_mc[0] > plan.b_mc[0] + 1000 * WARM_K else None,
        board=bench.board,
        fitted=bench.fitted,
    )
    planned = make_plan(learnt, wanted)
    peaks = [max(one.b_mc) / 1000 for one in (plan, core.read(planned.plan))]
    changes = [
        *told,
        sentences.REPLANNED.format(before=peaks[0], after=peaks[1]),
    ]
    return Refined(
        plan=planned.plan,
        how="marks",
        changes=changes,
        used=names,
        left_out=refused,
        taught=Taught(
            plan,
            bench.paste,
            [ran(one) for one in used],
            melts_s=[at_s for one in used for at_s in melts_s(one)],
        ),
        source=None if learnt is source else learnt,
    )


def _learnt_by_marks(source: Source, used: Sequence[Record]) -> tuple[Source, list[str]]:
    """The source fitted anew by what marks it does not know yet, and what is told of that."""
    runs = [marked_run(source, one) for one in used]
    if not any(run.melts for run in runs):
        return source, [sentences.MARKS_KNOWN]
    solution = refit(source, runs)
    learnt = candidate.document(source, solution, runs, spread=source.spread, anew=False)
    marks = sentences.REFITTED.format(marks=sum(len(run.melts) for run in runs))
    return learnt, [marks, *_peaks(runs, solution), *_moved(source, solution.known)]


def _peaks(runs: Sequence[Measurement], solution: Solution) -> Iterator[str]:
    """How hot the board got in each run by its marks: what the earlier plan did not know."""
    for at, run in enumerate(runs):
        if run.melts:
            peak_c = solution.states(at=at)[:, BOARD].max()
            yield sentences.PEAKED.format(run=run.name, peak=peak_c)


def _own(place: Path) -> Profile:
    return load_profile(own_profile(str(place / folder.PASTE)))


def _moved(source: Source, known: Prior) -> Iterator[str]:
    """The numbers of the source that moved most."""
    before = source.plant_params()
    pairs = zip(known.names, np.exp(known.mean).tolist(), strict=True)
    shares = [(value / getattr(before, name) - 1.0, name) for name, value in pairs]
    for share, name in sorted(shares, key=lambda one: -abs(one[0]))[:MOST_TOLD]:
        if abs(share) >= TOLD_SHARE:
            yield sentences.MOVED.format(name=name, share=100 * share)


def source_beside(out: Path) -> Path:
    """Where the source is put that learnt together with this plan."""
    return out.with_suffix(".source.toml")


def keep_beside(refined: Refined, plan_at: Path) -> Generation:
    """Write the next generation of this plan, where it does not lie there already."""
    found = next_generation(plan_at, refined.plan)
    if not found.there:
        keep(refined, found.path)
    return found


def keep(refined: Refined, out: Path) -> None:
    """Write the plan, and the source beside it where that learnt too."""
    for path in (out, source_beside(out)):
        if path.exists():
            raise BadInput(Fault(sentences.GENERATION_THERE, str(path), cure=sentences.ANOTHER_OUT))
    if refined.source:
        write_document(refined.source, source_beside(out))
    write_beside(out, refined.plan)
