"""``heatwright plan``: the nearest good profile that this source can follow, tried before heat."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import click

from heatwright import sentences
from heatwright.commands.finite import FiniteRange

EXAMPLES = """\b
Examples:
  heatwright plan --paste sac305 --source toaster --sensor board_sensor
  heatwright plan --paste sac305 --board bat-logger --source my-oven.toml
  heatwright plan --source toaster --profile datasheet-sac305 --details
  heatwright plan --source my-oven.toml --start now --after runs/20260102-203000-sac305
  heatwright plan --source drawer --ensemble 10000 --cluster tcp://10.0.0.5:8786

\b
Feasible means: joints come out and nothing is harmed (peak, time molten, every
part's limits). A window missed that only costs quality is marked x and told.
Ends with 0 where it is feasible, 3 where not: then no plan is written.
"""
OF_SENSOR = "Where the control sensor sits: where the source has it, or on the board."
OF_PROFILE = "Check this profile and plan the nearest; default: the paste's own."
OF_START = "now: from the source as warm as it is; see --after and --reads."
OF_AFTER = "The run before, for --start now; default: the latest in runs/ of this source."
OF_READS = "What the source's own sensor reads now: for --start now, or how long to wait."
OF_ENSEMBLE = "Try the plan in so many simulated sources like yours; 0: none."
OF_CLUSTER = "Do that on this Dask cluster; default: on this computer's cores."

Wrap = Callable[[Callable[..., Any]], Callable[..., Any]]


def _what() -> list[Wrap]:
    named = "NAME|FILE"
    return [
        click.option("--paste", default="sac305", show_default=True, metavar=named),
        click.option("--board", metavar=named, help="The board, with the parts that it names."),
        click.option("--parts", multiple=True, metavar=named, help="A further part; repeatable."),
        click.option("--source", required=True, metavar=named, help="The fitted heat source."),
        click.option("--profile", metavar=named, help=OF_PROFILE),
        click.option(
            "--sensor",
            type=click.Choice(("sensor", "board_sensor")),
            default="sensor",
            show_default=True,
            help=OF_SENSOR,
        ),
        click.option(
            "--ambient",
            "ambient_c",
            type=FiniteRange(-10, 50),
            default=25.0,
            show_default=True,
            metavar="C",
            help="The room, °C.",
        ),
        click.option("--start", type=click.Choice(("now", "cold")), default="cold", help=OF_START),
        click.option("--after", type=click.Path(path_type=Path), metavar="RUN", help=OF_AFTER),
        click.option("--reads", "reads_c", type=FiniteRange(-10, 300), metavar="C",
                     help=OF_READS),
    ]  # fmt: skip


def _how() -> list[Wrap]:
    return [
        click.option("--ensemble", type=click.IntRange(min=0), default=200, show_default=True,
                     metavar="N", help=OF_ENSEMBLE),
        click.option("--cluster", metavar="ADDRESS", help=OF_CLUSTER),
        click.option("--out", type=click.Path(path_type=Path, dir_okay=False),
                     default=Path("plan.json"), show_default=True, metavar="PLAN",
                     help="The plan file, its picture beside it; an earlier plan there is kept."),
        click.option("--details", is_flag=True, help="Margins of the loop, and its step response."),
        click.option("--json", "as_json", is_flag=True, help="One JSON document on stdout."),
    ]  # fmt: skip


def _options(function: Callable[..., Any]) -> Callable[..., Any]:
    for wrap in reversed(_what() + _how()):
        function = wrap(function)
    return function


@click.command(epilog=EXAMPLES)
@_options
def command(as_json: bool, details: bool, **options: Any) -> None:
    """Find the profile with the largest margins that this source can follow, or say why not."""
    # scipy.optimize takes most of a second to import, and the help needs none of it
    from heatwright.errors import EXIT_DONE, EXIT_VERDICT
    from heatwright.planning import report
    from heatwright.planning.session import Cut, PlanAsked, plan

    try:
        found = plan(PlanAsked(details=details, **options), _progress)
    except Cut as cut:
        _end_progress()
        click.echo(sentences.PLAN_CUT.format(done=cut.done, path=cut.kept_in), err=True)
        raise
    if as_json:
        click.echo(json.dumps(found.as_json(), indent=2, ensure_ascii=False, allow_nan=False))
    else:
        for line in report.lines(found, details):
            click.echo(line)
    click.get_current_context().exit(EXIT_DONE if found.feasible else EXIT_VERDICT)


def _end_progress() -> None:
    if sys.stderr.isatty():
        click.echo(err=True)


def _progress(done: int, of: int) -> None:
    if sys.stderr.isatty():
        end = "\n" if done == of else ""
        click.echo(f"\r{sentences.ENSEMBLE_PROGRESS.format(done=done, of=of)}{end}", err=True,
                   nl=False)  # fmt: skip
