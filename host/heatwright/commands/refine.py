"""``heatwright refine``: what the runs of a plan teach its next generation."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING

import click

from heatwright import sentences

if TYPE_CHECKING:
    from heatwright.planning.keeping import Generation
    from heatwright.planning.refinement import Refined

EXAMPLES = """\b
Examples:
  heatwright refine plan.json runs/20260102-203000-sac305
  heatwright refine plan.g2.json runs/20260103-1* --source my-oven.toml

\b
With a bead on the board the plan's power and sensor course are learnt; with
melt marks only, the source is fitted anew and the plan made anew; the source
is put beside it: name it with --source from then on. Nothing is taken from runs
that were stopped, tripped or cut short. A picture beside the new plan shows both
plans over each other and the runs that taught it.
"""


@click.command(epilog=EXAMPLES)
@click.argument("plan_at", metavar="PLAN", type=click.Path(path_type=Path))
@click.argument(
    "records", metavar="RECORD...", nargs=-1, required=True, type=click.Path(path_type=Path)
)
@click.option("--source", metavar="NAME|FILE", help="The source; default: the run's own.")
@click.option(
    "--out",
    type=click.Path(path_type=Path, dir_okay=False),
    metavar="PLAN",
    help="Default: beside PLAN, as plan.g2.json; never over another. Its picture beside it.",
)
@click.option("--json", "as_json", is_flag=True, help="One JSON document on stdout.")
def command(
    plan_at: Path, records: tuple[Path, ...], source: str | None, out: Path | None, as_json: bool
) -> None:
    """Make a plan better by its runs; every generation is kept."""
    from heatwright.planning import refinement
    from heatwright.planning.keeping import picture_of

    found = refinement.refine(plan_at, records, source)
    kept = _kept(found, plan_at, out)
    picture_at = picture_of(kept.path)
    found.draw(picture_at)
    if as_json:
        document = found.as_json(kept.path, kept.number, is_new=not kept.there)
        click.echo(json.dumps(document, indent=2, ensure_ascii=False))
        return
    for name, why in found.left_out.items():
        click.echo(sentences.LEFT_OUT.format(name=name, why=why))
    for line in found.changes:
        click.echo(line)
    told = sentences.REFINED_ALREADY if kept.there else sentences.REFINED_AT
    click.echo(told.format(number=kept.number, path=kept.path, before=plan_at))
    click.echo(sentences.REFINED_PICTURE.format(path=picture_at))
    if found.source:
        click.echo(sentences.SOURCE_AT.format(path=refinement.source_beside(kept.path)))


def _kept(found: Refined, plan_at: Path, out: Path | None) -> Generation:
    from heatwright.planning import keeping, refinement

    if out is None:
        return refinement.keep_beside(found, plan_at)
    refinement.keep(found, out)
    number = keeping.next_generation(plan_at, found.plan).number
    return keeping.Generation(out, number, False)
