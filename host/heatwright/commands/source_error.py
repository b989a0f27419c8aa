"""``heatwright source-error``: how far a source file's prediction lies from a record."""

from __future__ import annotations

import json
from dataclasses import asdict
from pathlib import Path
from typing import get_args

import click

from heatwright import sentences
from heatwright.documents.source import Placing

EXAMPLES = """\b
Examples:
  heatwright source-error my-oven.toml runs/20260102-203000-sac305
  heatwright source-error toaster log.csv --json
  heatwright source-error toaster log.csv --placing scrap_board
"""
SCHEMA_VERSION = 1
OF_PLACING = (
    "Where a CSV's sensor_c sat; default: as its column where says, else where the source has it."
)


@click.command(epilog=EXAMPLES)
@click.argument("source")
@click.argument("record", type=click.Path(path_type=Path))
@click.option("--duty-percent", is_flag=True, help="A CSV's duty is in percent.")
@click.option("--placing", type=click.Choice(get_args(Placing)), help=OF_PLACING)
@click.option("--json", "as_json", is_flag=True, help="One JSON document on stdout.")
def command(
    source: str, record: Path, duty_percent: bool, placing: Placing | None, as_json: bool
) -> None:
    """Predict a record's board and sensor from its duty alone, and say how far off that is."""
    from heatwright.documents import load_source
    from heatwright.measuring import coverage, measurement, quality

    model = load_source(source)
    run = measurement.load(
        record, duty_percent=duty_percent, placing=placing, usually=model.sensor.placing
    )
    found = quality.scores(model.plant_params(), run)
    warnings = [*run.statements, *coverage.moved(model, [run])]
    if as_json:
        document = {"schema_version": SCHEMA_VERSION, "source": source, "record": str(record)}
        scores = {name: asdict(score) for name, score in found.items()}
        click.echo(json.dumps({**document, **scores, "warnings": warnings}, indent=2))
        return
    for name, score in found.items():
        click.echo(sentences.CHECKED.format(run=run.name, name=name, **asdict(score)))
    for warning in warnings:
        click.echo(warning)
