"""``heatwright faults``: break everything in simulation and print what came of it."""

from __future__ import annotations

import json
import os
import signal
import sys
from collections.abc import Callable, Iterator
from concurrent.futures import ProcessPoolExecutor
from contextlib import contextmanager
from dataclasses import asdict, replace
from pathlib import Path
from typing import Any

import click

from heatwright import sentences
from heatwright.documents import load_source
from heatwright.documents.writing import check_writable, write_beside
from heatwright.errors import BadInput, Fault
from heatwright.faulting import chip, cut_out
from heatwright.faulting import page as pages
from heatwright.faulting.campaign import POWERED, QUICK, SPREADS, WHOLE, Wanted, run, settings
from heatwright.running.named_on import check_on

EXAMPLES = """\b
Examples:
  heatwright faults --quick
  heatwright faults --on sim:my-oven.toml --seeds 3
  heatwright faults --keep faults-so-far --page faults.md
  heatwright faults --cut-out --on sim:my-oven.toml
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
@click.option(
    "--cut-out",
    "wants_cut_out",
    is_flag=True,
    help="Instead: rating and place of a thermal cut-out of its own for each source.",
)
@click.option("--json", "as_json", is_flag=True, help="One JSON document on stdout.")  # fmt: skip
def command(
    sources: tuple[str, ...],
    quick: bool,
    seeds: int | None,
    spread: str,
    keep: Path | None,
    page: Path | None,
    wants_cut_out: bool,
    as_json: bool,
) -> None:
    """Strike every fault at many moments of a run: is it seen, how soon is the heat off?"""
    size = QUICK if quick else WHOLE
    size = replace(size, seeds=seeds) if seeds else size
    wanted = Wanted(_names(sources), spread, size)
    if wants_cut_out:
        _say_cut_outs(wanted, as_json)
        return
    if page:
        check_writable(page)
    found = _campaign(wanted, keep)
    click.echo(json.dumps(found, indent=1) if as_json else pages.table(found))
    if page:
        write_beside(page, pages.page(found))


def _say_cut_outs(wanted: Wanted, as_json: bool) -> None:
    said = {}
    for source in wanted.sources:
        made = settings(replace(wanted, sources=(source,)))
        said[source] = found = cut_out.rooms(made)
        if not as_json:
            click.echo(cut_out.advice(made, found))
    if as_json:
        click.echo(json.dumps(_cut_outs_json(said), indent=1))
    else:
        click.echo(sentences.CUT_OUT_NOTE.format(tolerance=cut_out.TOLERANCE_K))


def _cut_outs_json(said: dict[str, list[cut_out.Room]]) -> dict[str, Any]:
    places = {
        source: [{**asdict(room), "rating_c": room.rating_c} for room in found]
        for source, found in said.items()
    }
    return {"schema_version": 1, "cut_out": places}


def _names(sources: tuple[str, ...]) -> tuple[str, ...]:
    wrong = [on for on in sources if not on.startswith(SIM)]
    if wrong:
        raise BadInput(
            *(Fault(sentences.CAMPAIGN_ON, f"--on {on}", on, SIM + "NAME") for on in wrong)
        )
    for on in sources:
        check_on(on)
        _check_powered(on)
    return tuple(on.removeprefix(SIM) for on in sources) or POWERED


def _check_powered(on: str) -> None:
    source = load_source(on.removeprefix(SIM))
    if source.kind not in POWERED:
        expected = sentences.CAMPAIGN_POWERED.format(names=", ".join(POWERED))
        raise BadInput(Fault(sentences.CAMPAIGN_BY_HAND, f"--on {on}", source.kind, expected))


def _campaign(wanted: Wanted, keep: Path | None) -> dict[str, Any]:
    if keep:
        _make(keep)
    on_chip = chip.trials if chip.can_run() else None
    with (
        ProcessPoolExecutor(os.cpu_count(), initializer=_leave_ctrl_c_alone) as executor,
        _progress() as progress,
    ):
        try:
            return run(wanted, executor, on_chip=on_chip, progress=progress, kept_in=keep)
        except KeyboardInterrupt:
            click.echo(_cut(keep).format(folder=keep), err=True)
            raise


def _cut(keep: Path | None) -> str:
    """What a person is told who ended it by Ctrl-C."""
    if keep is None:
        return sentences.CAMPAIGN_CUT
    has_results = any(path.stat().st_size for path in keep.glob("*.txt"))
    return sentences.CAMPAIGN_CUT_KEPT if has_results else sentences.CAMPAIGN_CUT_NOTHING


def _make(keep: Path) -> None:
    try:
        keep.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        what = sentences.NO_FOLDER.format(reason=error.strerror)
        raise BadInput(Fault(what, f"--keep {keep}", cure=sentences.NO_FOLDER_CURE)) from error


def _leave_ctrl_c_alone() -> None:
    """In each worker: the command itself ends them, once what they are at is done."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)


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
