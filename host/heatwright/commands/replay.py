"""``heatwright replay``: a record's readings through the core again, or through another plan."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import asdict, dataclass
from importlib.metadata import version
from pathlib import Path
from typing import Any

import click

from heatcore.limits import TICK_MS
from heatcore.plan import Plan
from heatwright import sentences
from heatwright.documents import Paste, load_paste, load_source
from heatwright.errors import EXIT_DONE, EXIT_VERDICT, BadInput, Fault
from heatwright.judging.wording import amount
from heatwright.records import folder
from heatwright.records.reader import Record, read
from heatwright.replaying import other as replay_other
from heatwright.replaying.other import Commanded, Simulated
from heatwright.replaying.replay import Replay, plan_of, replay

SCHEMA_VERSION = 1
EXAMPLES = """\b
Examples:
  heatwright replay runs/20260304-123015-sac305-default
  heatwright replay runs/20260304-123015-sac305-default --plan other-plan.json
"""


@dataclass(frozen=True)
class Run:
    """A record with the plan it was made by."""

    record: Record
    data: bytes
    plan: Plan

    @property
    def place(self) -> Path:
        return self.record.path.parent


@click.command(epilog=EXAMPLES)
@click.argument("record", type=click.Path(path_type=Path))
@click.option(
    "--plan",
    "other",
    metavar="OTHER",
    type=click.Path(path_type=Path),
    help="Another plan (a plan file or a run's folder): what it would have done.",
)
@click.option(
    "--out",
    type=click.Path(path_type=Path, dir_okay=False),
    default=Path("replayed.png"),
    show_default=True,
    help="The picture of --plan.",
)
@click.option("--json", "as_json", is_flag=True, help="One JSON document on standard output.")
def command(record: Path, other: Path | None, out: Path, as_json: bool) -> None:
    """Run the readings in RECORD through the control core again and compare, bit for bit.

    Ends with 0 where commands and events come out the same, with 3 where they do not (the first
    difference is shown). With --plan: what another plan would have commanded on the same readings
    and, on the source in the run's folder, what the board would have seen (simulated); ends with
    0.
    """
    run = _run(record)
    if other is not None:
        _other(run, other, out, as_json)
        return
    found = replay(run.record, run.plan)
    if as_json:
        _say_json(_as_json(run, found))
    else:
        click.echo("\n".join(_lines(run, found)))
    click.get_current_context().exit(EXIT_DONE if found.is_same else EXIT_VERDICT)


def _run(path: Path) -> Run:
    record = read(path)
    data = _plan_bytes(record.path.parent)
    return Run(record, data, plan_of(data, str(record.path.parent / folder.PLAN)))


def _plan_bytes(path: Path) -> bytes:
    """The bytes of a plan file, or of the plan in a run's folder."""
    at = path / folder.PLAN if path.is_dir() else path
    try:
        return at.read_bytes()
    except (OSError, ValueError) as error:
        raise BadInput(
            Fault(
                sentences.REPLAY_NO_PLAN,
                str(at),
                getattr(error, "strerror", None) or str(error),
                sentences.REPLAY_NO_PLAN_EXPECTED,
                sentences.REPLAY_NO_PLAN_CURE,
            )
        ) from error


def _lines(run: Run, found: Replay) -> Iterator[str]:
    if found.difference:
        words = {k: v for k, v in asdict(found.difference).items() if k != "time_s"}
        at = f"{found.difference.time_s:g} s"
        yield sentences.REPLAY_DIFFERS.format(at=at, **words)
    else:
        yield sentences.REPLAY_SAME.format(ticks=found.ticks, silent=found.silent_ticks)
    then, now = run.record.header.get("heatwright"), version("heatwright")
    if then != now:
        yield sentences.REPLAY_VERSIONS.format(then=then, now=now)
    if run.record.damaged_lines or found.missing_ticks:
        yield sentences.REPLAY_DAMAGED.format(
            damaged=run.record.damaged_lines, missing=found.missing_ticks
        )
    yield sentences.REPLAY_TRACE.format(
        recorded=found.recorded_sha256, replayed=found.replayed_sha256
    )


def _as_json(run: Run, found: Replay) -> dict[str, Any]:
    return {
        "record": str(run.record.path),
        "same": found.is_same,
        "ticks": found.ticks,
        "silent_ticks": found.silent_ticks,
        "first_difference": asdict(found.difference) if found.difference else None,
        "damaged_lines": run.record.damaged_lines,
        "missing_ticks": found.missing_ticks,
        "trace_sha256": found.recorded_sha256,
        "replayed_trace_sha256": found.replayed_sha256,
    }


def _other(run: Run, path: Path, out: Path, as_json: bool) -> None:
    from heatwright.replaying import picture as replay_picture

    data = _plan_bytes(path)
    plan = plan_of(data, str(path))
    found = replay_other.commanded(run.record, plan)
    paste_at = run.place / folder.PASTE
    paste = load_paste(paste_at) if paste_at.is_file() else None
    boards = list(_boards(run, data, plan, paste))
    replay_picture.draw(run.record, found, boards, paste, out)
    if as_json:
        _say_json(_other_json(run, found, boards, out))
    else:
        click.echo("\n".join(_other_lines(run, found, boards, paste, out)))


def _boards(run: Run, data: bytes, plan: Plan, paste: Paste | None) -> Iterator[Simulated]:
    """The recorded plan and the other, both on the fitted source: so they can be compared."""
    source_at = run.place / folder.SOURCE
    if paste is None or not source_at.is_file():
        return
    source = load_source(source_at)
    names = [f"{run.plan.name} (recorded)", f"{plan.name} (other)"]
    for name, text in zip(names, (run.data, data), strict=True):
        yield replay_other.simulated(run.record, text, name, source, paste.above_c)


def _other_json(run: Run, found: Commanded, boards: list[Simulated], out: Path) -> dict[str, Any]:
    return {
        "record": str(run.record.path),
        "plan": found.name,
        "first_difference_s": found.first_s,
        "recorded_duty": found.first_recorded,
        "other_duty": found.first_other,
        "full_power_s": found.full_power_s,
        "trip": found.trip,
        "on_fitted_source": [board.as_json() for board in boards],
        "picture": str(out),
    }


def _other_lines(
    run: Run, found: Commanded, boards: list[Simulated], paste: Paste | None, out: Path
) -> Iterator[str]:
    if found.first_s is None:
        yield sentences.OTHER_SAME.format(name=found.name)
    else:
        what = (
            f"{100 * (found.first_other or 0):.0f} %, not {100 * (found.first_recorded or 0):.0f} %"
        )
        yield sentences.OTHER_PARTS.format(name=found.name, at=f"{found.first_s:g} s", what=what)
    if found.trip:
        at = f"{found.time_s[-1]:g} s"
        yield sentences.OTHER_TRIP.format(at=at, trip=found.trip.replace("_", " "))
    yield _heat_line(run.record, found)
    for board in boards:
        yield sentences.OTHER_BOARD.format(
            name=board.name,
            peak=amount(board.peak_board_c, "°C"),
            above=amount(board.time_above_liquidus_s, "s"),
            liquidus=f"{paste.above_c:g} °C" if paste else "",
        )
    if not boards:
        yield sentences.OTHER_NO_SOURCE
    yield sentences.PICTURE_AT.format(picture=out)


def _heat_line(record: Record, found: Commanded) -> str:
    recorded_s = float(record.duty[: len(found.duty)].sum()) * TICK_MS / 1000
    return sentences.OTHER_HEAT.format(
        end=f"{found.time_s[-1]:.0f} s",
        recorded=amount(recorded_s, "s"),
        other=amount(found.full_power_s, "s"),
        highest=f"{100 * found.duty.max():.0f} %",
    )


def _say_json(values: dict[str, Any]) -> None:
    document = {"schema_version": SCHEMA_VERSION, **values}
    click.echo(json.dumps(document, indent=2, ensure_ascii=False, allow_nan=False))
