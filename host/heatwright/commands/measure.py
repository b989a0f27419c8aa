"""``heatwright measure``: learn a heat source from a guided run or from records."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any, get_args

import click

from heatwright import sentences
from heatwright.documents.source import Kind, Placing
from heatwright.errors import BadInput, Fault

EXAMPLES = """\b
Examples:
  heatwright measure --on sim:toaster --kind toaster --sensor board_sensor
  heatwright measure --on /dev/ttyACM0 --kind toaster --out my-oven.toml
  heatwright measure run1.csv --kind hot-plate --check run2.csv
  heatwright measure --kind toaster --out my-oven.toml --accept

\b
A CSV names its columns: time_s, duty (0..1, or knob), sensor_c, and perhaps
board_c and door (1 is open).
"""
OF_ACCEPT = "Keep it. Without records: keep the candidate made before."
OF_CHECK = "A run to predict only; nothing is learnt from it."
OF_PLACING = "Where a CSV's sensor_c sat."
OF_SENSOR = "With --on: where the control sensor sits."


@click.command(epilog=EXAMPLES)
@click.argument("records", nargs=-1, type=click.Path(path_type=Path))
@click.option("--kind", type=click.Choice(get_args(Kind)), required=True, help="What it is.")
@click.option("--on", "on", metavar="sim:NAME|plant:MODULE:FACTORY|PORT", help="Guide a run there.")
@click.option("--sensor", type=click.Choice(["sensor", "board_sensor"]), default="sensor",
              help=OF_SENSOR)  # fmt: skip
@click.option("--seed", type=click.IntRange(min=0), default=1, help="Simulated: which source.")
@click.option("--runs", type=click.Path(path_type=Path, file_okay=False), default=Path("runs"),
              show_default=True, help="Folder in which a guided run gets its own.")  # fmt: skip
@click.option("--check", "checks", multiple=True, type=click.Path(path_type=Path), help=OF_CHECK)
@click.option("--duty-percent", is_flag=True, help="A CSV's duty is in percent.")
@click.option("--placing", type=click.Choice(get_args(Placing)), default="air", help=OF_PLACING)
@click.option("--out", type=click.Path(path_type=Path, dir_okay=False), help="The source file.")
@click.option("--accept", is_flag=True, help=OF_ACCEPT)
@click.option("--note", default="", help="A line to keep in the file.")
@click.option("--details", is_flag=True, help="Each parameter with its interval.")
@click.option("--json", "as_json", is_flag=True, help="One JSON document on stdout.")
def command(records: tuple[Path, ...], **options: Any) -> None:
    """Learn a heat source: one guided run, or records, become a candidate source file."""
    out = options["out"] or Path(f"{options['kind']}-measured.toml")
    if options["on"]:
        records = (*records, _guided(options))
    if records:
        _learn(records, out, options)
    elif options["accept"]:
        from heatwright.measuring import candidate

        click.echo(sentences.WROTE.format(path=candidate.accept(out)))
    else:
        raise BadInput(Fault(sentences.NOTHING_TO_MEASURE, cure=sentences.NOTHING_TO_MEASURE_CURE))


def _guided(options: dict[str, Any]) -> Path:
    from heatwright.running.guided import Guided, run_guided

    asked = Guided(
        on=options["on"], kind=options["kind"], sensor=options["sensor"], seed=options["seed"]
    )
    return run_guided(asked, options["runs"], lambda text: click.echo(text, err=True))


def _learn(records: tuple[Path, ...], out: Path, options: dict[str, Any]) -> None:
    from heatwright.measuring import measurement
    from heatwright.measuring.report import measured

    def load(path: Path) -> measurement.Measurement:
        return measurement.load(
            path, duty_percent=options["duty_percent"], placing=options["placing"]
        )

    found = measured(
        options["kind"],
        [load(path) for path in records],
        [load(path) for path in options["checks"]],
        out,
        accept=options["accept"],
        note=options["note"],
    )
    if options["as_json"]:
        click.echo(json.dumps(found.as_json(), indent=2, ensure_ascii=False, allow_nan=False))
        return
    for line in found.lines(options["details"]):
        click.echo(line)
