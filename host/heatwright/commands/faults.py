"""``heatwright faults``: break everything in simulation and print what came of it."""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Callable, Iterator
from concurrent.futures import ProcessPoolExecutor
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import Any

import click

from heatwright import sentences
from heatwright.errors import BadInput, Fault
from heatwright.running import fault_page
from heatwright.running.fault_campaign import POWERED, QUICK, SPREADS, WHOLE, Wanted, run

EXAMPLES = """\b
Examples:
  heatwright faults --quick
  heatwright faults --on sim:my-oven.toml --seeds 3
  heatwright faults --keep faults-so-far --page faults.md
"""
SIM = "sim:"


@click.command(epilog=EXAMPLES)
@click.option("--on", "sources", multiple=True, metavar="sim:NAME", help="Default: all powered.")
@click.option("--quick", is_flag=True, help="One draw, fewer moments: about a minute.")
@click.option("--seeds", type=click.IntRange(1, 100), help="Draws of each source and placing.")
@click.option(
    "--spread",
    type=click.Choice(list(SPREADS)),
    default="measured",
    show_default=True,
    help="How far the true source is from its file: measured, or its kind only.",
)
@click.option(
    "--keep",
    type=click.Path(path_type=Path, file_okay=False),
    help="Folder for results so far: a campaign that was cut goes on from there.",
)
@click.option(
    "--page",
    type=click.Path(path_type=Path, dir_okay=False),
    help="Write the page of docs with these figures.",
)
@click.option("--json", "as_json", is_flag=True, help="One JSON document on stdout.")  # fmt: skip
def command(
    sources: tuple[str, ...],
    quick: bool,
    seeds: int | None,
    spread: str,
    keep: Path | None,
    page: Path | None,
    as_json: bool,
) -> None:
    """Strike every fault at many moments of a run: is it seen, how soon is the heat off?"""
    size = QUICK if quick else WHOLE
    size = replace(size, seeds=seeds) if seeds else size
    wanted = Wanted(_names(sources), spread, size)
    found = _campaign(wanted, keep)
    if page:
        page.write_text(fault_page.page(found))
    click.echo(json.dumps(found, indent=1) if as_json else fault_page.table(found))


def _names(sources: tuple[str, ...]) -> tuple[str, ...]:
    wrong = [on for on in sources if not on.startswith(SIM)]
    if wrong:
        raise BadInput(
            *(Fault(sentences.CAMPAIGN_ON, f"--on {on}", on, SIM + "NAME") for on in wrong)
        )
    return tuple(on.removeprefix(SIM) for on in sources) or POWERED


def _campaign(wanted: Wanted, keep: Path | None) -> dict[str, Any]:
    if keep:
        keep.mkdir(parents=True, exist_ok=True)
    with ProcessPoolExecutor(os.cpu_count()) as executor, _progress() as progress:
        return run(wanted, executor, progress=progress, kept_in=keep)


@contextmanager
def _progress() -> Iterator[Callable[[int, int], None] | None]:
    """A bar on a terminal; elsewhere nothing, so that logs stay short."""
    if not sys.stderr.isatty():
        yield None
        return
    from rich.console import Console
    from rich.progress import Progress

    with Progress(console=Console(stderr=True)) as bar:
        task = bar.add_task(sentences.CAMPAIGN_RUNS, total=None)
        yield lambda done, total: bar.update(task, completed=done, total=total)
