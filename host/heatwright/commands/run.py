"""``heatwright run``: a plan or a profile on a simulated, plugged-in or real source."""

from __future__ import annotations

import json
import math
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import Any

import click

from heatwright import sentences
from heatwright.commands.finite import FiniteRange
from heatwright.documents.bench import load_bench
from heatwright.judging.wording import amount
from heatwright.planning.nominal import Planned
from heatwright.planning.report import told_to_open
from heatwright.planning.suits import board_warning
from heatwright.running.connect import check_speed, connect
from heatwright.running.detection import detection
from heatwright.running.execute import Report, execute
from heatwright.running.job import BEADS, Asked, Job, prepare
from heatwright.running.named_faults import never_struck
from heatwright.running.named_on import check_on
from heatwright.running.outcome import trip_line

EXAMPLES = """\b
Examples:
  heatwright run --on sim:toaster --source toaster --sensor board_sensor
  heatwright run --on sim:drawer --seed 7 --source drawer --sensor board_sensor
  heatwright run --on plant:mine:make --profile my-profile.toml
  heatwright run --on sim:toaster --source toaster --fault relay-shorted@200
  heatwright run --on /dev/ttyACM0 --source my-oven.toml

\b
While it runs, on a terminal: s and Enter stops, m and Enter marks the melt.
Ends with 0 done, 3 verdict fail or unknown, 4 no controller, 5 stopped for
safety, 6 stopped by you, 130 Ctrl-C.
"""
OF_ON = "Simulated: toaster, convection, drawer, hot-plate, sand, hot-air. Real: a serial port."
OF_PROFILE = "Default: the paste's own, as far as the source can follow."
OF_SOURCE = "The fitted source: makes a plan that it can follow."
OF_SENSOR = "Where the control sensor sits: where the source has it, or on the board."
OF_SEED = "Simulated: 0 is the nominal source, any other draws one like it."
OF_FAULT = (
    "Simulated or virtual: break this, so long after heating begins; below 0: before arming. "
    "Repeatable. Names: docs/faults.md, or ask for one that is none."
)
OF_UNKNOWN = "Real: run a plain profile on a source that nobody has measured."

Wrap = Callable[[Callable[..., Any]], Callable[..., Any]]


def _speed(ctx: click.Context, param: click.Parameter, value: str | None) -> float | None:
    """A number of times the wall's clock, or max (infinite)."""
    if value in (None, "max"):
        return None if value is None else math.inf
    try:
        speed = float(str(value))
    except ValueError:
        speed = 0.0
    if not 0.0 < speed < math.inf:
        raise click.BadParameter(f"{value!r} is neither a number above 0 nor max", ctx, param)
    return speed


def _what_to_run() -> list[Wrap]:
    file = click.Path(path_type=Path)
    return [
        click.option(
            "--on", required=True, metavar="sim:NAME|plant:MODULE:FACTORY|PORT", help=OF_ON
        ),
        click.option("--profile", metavar="FILE|NAME", help=OF_PROFILE),
        click.option("--plan", type=file, help="A plan file, run as it stands."),
        click.option("--source", metavar="FILE|NAME", help=OF_SOURCE),
        click.option(
            "--sensor",
            type=click.Choice(BEADS),
            default="sensor",
            show_default=True,
            help=OF_SENSOR,
        ),
        click.option("--paste", default="sac305", show_default=True, metavar="NAME|FILE"),
        click.option("--board", metavar="NAME|FILE", help="The board, kept with the run."),
    ]


def _how_to_run() -> list[Wrap]:
    room, warm = FiniteRange(-10, 50), FiniteRange(-10, 150)
    return [
        click.option(
            "--ambient",
            "ambient_c",
            type=room,
            default=25.0,
            show_default=True,
            metavar="C",
            help="The room, °C.",
        ),
        click.option(
            "--start-temp", "start_c", type=warm, metavar="C", help="A source still this warm, °C."
        ),
        click.option(
            "--seed", type=click.IntRange(min=0), default=1, show_default=True, help=OF_SEED
        ),
        click.option("--fault", "faults", multiple=True, metavar="NAME@SECONDS", help=OF_FAULT),
        click.option("--speed", metavar="X|max", callback=_speed, help="Simulated: default max."),
        click.option(
            "--out",
            type=click.Path(path_type=Path, file_okay=False),
            default=Path("runs"),
            show_default=True,
            help="Folder in which the run gets its own.",
        ),
        click.option("--unknown-source", is_flag=True, help=OF_UNKNOWN),
        click.option("--json", "as_json", is_flag=True, help="One JSON document on stdout."),
    ]


def _options(function: Callable[..., Any]) -> Callable[..., Any]:
    for wrap in reversed(_what_to_run() + _how_to_run()):
        function = wrap(function)
    return function


@click.command(epilog=EXAMPLES)
@_options
def command(speed: float | None, out: Path, as_json: bool, **options: Any) -> None:
    """Run a profile (or a plan) and judge what the board went through."""
    asked = Asked(**options)
    check_on(asked.on)
    if not asked.is_simulated:
        check_speed(speed)
    _caution(asked)
    job = prepare(asked)
    tell_plan(job, _tell)
    if not asked.is_simulated:
        for sentence in detection(job):
            _tell(sentence)
    report = execute(job, connect(asked, speed), out, _tell)
    _tell_never_struck(asked, float(report.record.time_s[-1]))
    if as_json:
        click.echo(json.dumps(report.as_json(), indent=2, ensure_ascii=False, allow_nan=False))
    else:
        _say(report)
    click.get_current_context().exit(report.exit_code)


def _tell_never_struck(asked: Asked, end_s: float) -> None:
    for fault in never_struck(asked.faults, end_s):
        _tell(sentences.FAULT_NEVER.format(fault=fault, end=end_s))


def _tell(text: str) -> None:
    # a terminal that has gone must not end a run that is on
    with suppress(OSError):
        click.echo(text, err=True)


def _caution(asked: Asked) -> None:
    if asked.is_simulated:
        return
    _tell(sentences.CAUTIONS)
    if asked.unknown_source:
        _tell(sentences.UNKNOWN_SOURCE_WARNING)


def tell_plan(job: Job, tell: Callable[[str], None]) -> None:
    """Say what will be run, and which windows even the nominal source misses."""
    planned = job.planned
    if planned is None:
        tell(sentences.PLAN_GIVEN.format(name=job.plan.name))
        _tell_board(job, tell)
    elif planned.trajectory is None:
        tell(sentences.PLAN_UNKNOWN_SOURCE.format(name=job.plan.name))
    else:
        tell(_plan_line(job, planned))
        for measure in planned.outside:
            value = amount(measure.value or 0.0, measure.unit)
            label = sentences.LABELS[measure.name]
            tell(sentences.PLAN_OUTSIDE.format(label=label, value=value))


def _tell_board(job: Job, tell: Callable[[str], None]) -> None:
    """A plan that lies there already may be for a lighter board."""
    if job.source is None or job.asked.board is None:
        return
    bench = load_bench(job.paste, job.asked.board)
    if bench.board is None:
        return
    found = board_warning(job.source, job.plan, bench.board, bench.fitted, job.asked.ambient_c)
    if found:
        tell(found)


def _plan_line(job: Job, planned: Planned) -> str:
    found = {measure.name: measure.value or 0.0 for measure in planned.measures}
    cue_s = planned.trajectory.door_cue_s if planned.trajectory else None
    return sentences.PLAN_MADE.format(
        name=job.plan.name,
        peak=amount(found["peak"], "°C"),
        above=amount(found["time_above_liquidus"], "s"),
        door=told_to_open(job.source.kind if job.source else "", cue_s),
    )


def _say(report: Report) -> None:
    verdict = report.verdict
    if report.trip:
        click.echo(trip_line(report.trip))
    click.echo(f"{verdict.status.replace('_', ' ')}: {verdict.sentence}")
    for note in verdict.notes:
        click.echo(note)
    click.echo(sentences.RUN_KEPT.format(folder=report.folder))
