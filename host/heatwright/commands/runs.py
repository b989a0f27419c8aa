"""``heatwright runs``: the archive of all runs, a folder a run."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable, Sequence
from dataclasses import asdict
from pathlib import Path
from typing import Any

import click

from heatwright import sentences
from heatwright.errors import BadInput, Fault
from heatwright.records import folder
from heatwright.records.archive import NO_VERDICT, TRASH, Archive, Wanted
from heatwright.records.facts import Facts, facts

SCHEMA_VERSION = 1
VERDICTS = ("pass", "likely_pass", "warn", "fail", "unknown", NO_VERDICT)
PLACINGS = ("on_board", "scrap_board", "touching", "air", "in_sand", "not_known")
OF_PLACING = "Where the sensor sat; default: as a column named where says, else not_known."
FIELDS = ("time", "date", "sensor", "board", "duty", "knob", "target", "door")

EXAMPLES = """\b
Examples:
  heatwright runs list --verdict fail --since 2026-03-01
  heatwright runs compare 20260304-123015 20260305-090000 --out both.png
  heatwright runs import bake.csv --paste sac305 --placing on_board
  heatwright runs export 20260304-123015 --to json --out bake.json
  heatwright runs trash 20260301-080000
"""
OF_RUN = "RUN is an id (or a beginning that only one id has), a run's folder or its record.txt."
OF_FILE = click.Path(path_type=Path, dir_okay=False)
Wrap = Callable[[Callable[..., Any]], Callable[..., Any]]

in_archive = click.option(
    "--archive",
    type=click.Path(path_type=Path, file_okay=False),
    default=Path("runs"),
    show_default=True,
    help="The folder that holds the runs: what run --out names.",
)
as_json = click.option("--json", "as_json", is_flag=True, help="One JSON document on stdout.")


@click.group(epilog=EXAMPLES)
def command() -> None:
    """List, compare, import, export and put away the runs that were recorded.

    A run is a folder; the list is made from the folders and can always be made anew.
    """


@command.command("list")
@in_archive
@click.option("--board", metavar="TEXT", help="Only boards with this in their name.")
@click.option("--paste", metavar="TEXT", help="Only pastes with this in their name.")
@click.option("--source", metavar="TEXT", help="Only sources with this in their name.")
@click.option("--verdict", type=click.Choice(VERDICTS), help="none: not judged (yet).")
@click.option("--since", type=click.DateTime(["%Y-%m-%d"]), metavar="YYYY-MM-DD")
@click.option("--until", type=click.DateTime(["%Y-%m-%d"]), metavar="YYYY-MM-DD")
@click.option("--last", type=click.IntRange(min=1), metavar="N", help="Only the newest N.")
@as_json
def list_runs(archive: Path, last: int | None, as_json: bool, **wanted: Any) -> None:
    """List the runs, newest first."""
    for end in ("since", "until"):
        wanted[end] = f"{wanted[end]:%Y-%m-%d}" if wanted[end] else None
    found = Archive(archive).runs(Wanted(**wanted))[:last]
    if as_json:
        _say_json({"archive": str(archive), "runs": [asdict(run) for run in found]})
    else:
        click.echo("\n".join([*_rows(found), sentences.RUNS_COUNT.format(count=len(found))]))


def _rows(found: Sequence[Facts]) -> list[str]:
    width = max((len(run.id) for run in found), default=0)
    return [_row(run, width) for run in found]


def _row(run: Facts, width: int) -> str:
    verdict = (run.verdict or "-").replace("_", " ")
    peak = "" if run.peak_board_c is None else f"{run.peak_board_c:.0f} °C"
    told = [run.paste, run.board, run.source or run.on]
    text = f"{run.id:{width}}  {verdict:11}  {peak:>7}  {', '.join(t for t in told if t)}"
    return text.rstrip()


@command.command(epilog=OF_RUN)
@click.argument("run")
@in_archive
@as_json
def show(run: str, archive: Path, as_json: bool) -> None:
    """Show one run: what it was made with, its verdict, its files."""
    place = Archive(archive).find(run)
    found = facts(place)
    files = sorted(entry.name for entry in place.iterdir() if not entry.name.startswith("."))
    if as_json:
        _say_json({"folder": str(place), **asdict(found), "files": files})
        return
    for label, value in asdict(found).items():
        if value is not None:
            click.echo(f"{label.replace('_', ' '):13} {value}")
    click.echo(f"{'files':13} {', '.join(files)}\n{'folder':13} {place}")


@command.command(epilog=OF_RUN)
@click.argument("runs", nargs=-1, required=True)
@in_archive
@click.option("--out", type=OF_FILE, default=Path("compared.png"), show_default=True)
@as_json
def compare(runs: tuple[str, ...], archive: Path, out: Path, as_json: bool) -> None:
    """Lay the curves and verdicts of two to six RUNS over each other, as a picture (PNG)."""
    from heatwright.reporting import compare as comparing

    if not 2 <= len(runs) <= comparing.MOST_RUNS:
        raise click.UsageError(sentences.COMPARE_COUNT.format(most=comparing.MOST_RUNS))
    places = [Archive(archive).find(run) for run in runs]
    found = [comparing.load(place) for place in places]
    comparing.draw(found, out)
    if as_json:
        _say_json({"picture": str(out), "runs": [run.as_json() for run in found]})
        return
    for number, run in enumerate(found, 1):
        click.echo(f"{number}  {comparing.caption(run)}")
    for name, cells in comparing.table(found):
        click.echo(f"  {name:26}" + "".join(f"{cell:>12}" for cell in cells))
    click.echo(sentences.PICTURE_AT.format(picture=out))


def _import_options(function: Callable[..., Any]) -> Callable[..., Any]:
    for field in reversed(FIELDS):
        text = f"Which column is the {field}: its header or its number, from 1."
        function = click.option(f"--{field}", metavar="COLUMN", help=text)(function)
    return function


@command.command("import")
@click.argument("file", type=OF_FILE)
@in_archive
@_import_options
@click.option("--unit", type=click.Choice(["C", "F", "K"]), help="Of temperatures.")
@click.option("--time-unit", type=click.Choice(["s", "ms", "min"]), help="Of numbers as times.")
@click.option("--duty-unit", type=click.Choice(["fraction", "percent"]))
@click.option("--name", metavar="TEXT", help="Name of the run; default: the file's.")
@click.option("--placing", type=click.Choice(PLACINGS), help=OF_PLACING)
@click.option("--paste", metavar="NAME|FILE", help="The paste; the run is judged against it.")
@click.option("--board-file", metavar="NAME|FILE", help="The board's document, kept with the run.")
@click.option("--source", metavar="NAME|FILE", help="The source's document, kept with the run.")
@click.option("--preview", is_flag=True, help="Only show what was understood.")
@click.option("--yes", is_flag=True, help="Import without asking.")
def import_csv(file: Path, archive: Path, preview: bool, yes: bool, **asked: Any) -> None:
    """Make a run of another program's CSV FILE. Shows what was understood, then asks."""
    from heatwright.records import csv_preview
    from heatwright.records.csv_columns import Asked
    from heatwright.records.csv_import import read_csv
    from heatwright.records.import_run import import_run

    columns = {field: asked[field] for field in FIELDS if asked[field]}
    table = read_csv(file, Asked(columns, asked["unit"], asked["time_unit"], asked["duty_unit"]))
    for text in csv_preview.preview(table):
        click.echo(text)
    documents = _documents(asked)
    if preview or not (yes or _agreed()):
        click.echo(sentences.NOT_IMPORTED)
        return
    placing = asked["placing"] or table.placing or PLACINGS[-1]
    place = import_run(table, archive, asked["name"] or file.stem, placing, documents)
    if asked["paste"]:
        _judge(place)
    click.echo(sentences.IMPORTED.format(folder=place))


def _agreed() -> bool:
    if not sys.stdin.isatty():
        raise click.UsageError(sentences.IMPORT_NEEDS_YES)
    return click.confirm(sentences.IMPORT_ASK)


def _documents(asked: dict[str, Any]) -> dict[str, bytes]:
    """The documents named, each read and checked, by the file name it gets in the folder."""
    from heatwright.documents import load_board, load_paste, load_source, locate

    wanted = (
        ("paste", asked["paste"], folder.PASTE, load_paste),
        ("board", asked["board_file"], folder.BOARD, load_board),
        ("source", asked["source"], folder.SOURCE, load_source),
    )
    found = {}
    for kind, name, file, load in wanted:
        if name:
            load(name)
            found[file] = locate(kind, name).read_bytes()
    return found


def _judge(place: Path) -> None:
    from heatwright.judging.kept import kept
    from heatwright.records.reader import read
    from heatwright.reporting import picture

    record = read(place)
    verdict = kept(place).judge(record)
    folder.put_json(place, folder.VERDICT, verdict.as_json())
    picture.draw(record, verdict, place / folder.PICTURE)
    click.echo(f"{verdict.status.replace('_', ' ')}: {verdict.sentence}")


@command.command(epilog=OF_RUN)
@click.argument("run")
@in_archive
@click.option("--to", type=click.Choice(["csv", "json"]), default="csv", show_default=True)
@click.option("--out", type=OF_FILE, help="Default: standard output.")
def export(run: str, archive: Path, to: str, out: Path | None) -> None:
    """Write RUN as CSV or JSON: s, degrees Celsius, duty 0 to 1, named in the header."""
    from heatwright.records import export as exporting
    from heatwright.records.reader import read

    record = read(Archive(archive).find(run))
    text = exporting.as_json(record) if to == "json" else exporting.as_csv(record)
    if out is None:
        click.echo(text, nl=False)
        return
    if out.exists():
        raise BadInput(Fault(sentences.EXPORT_EXISTS, str(out), cure=sentences.EXPORT_EXISTS_CURE))
    folder.put(out.parent, out.name, text.encode())
    click.echo(sentences.EXPORTED.format(file=out))


@command.command()
@in_archive
def reindex(archive: Path) -> None:
    """Make the list anew from the folders (it looks after itself; this is for the worst case)."""
    click.echo(sentences.RUNS_COUNT.format(count=Archive(archive).reindex()))


@command.command(epilog=OF_RUN)
@click.argument("runs", nargs=-1)
@in_archive
@click.option("--restore", is_flag=True, help="Take RUNS back out of the trash.")
def trash(runs: tuple[str, ...], archive: Path, restore: bool) -> None:
    """Move RUNS into the archive's trash folder; without RUNS, list what is there.

    Nothing is deleted: empty the folder yourself when you are sure.
    """
    kept = Archive(archive)
    for place in kept.restore(runs) if restore else kept.trash(runs):
        click.echo(sentences.RUN_MOVED.format(folder=place))
    if not runs:
        names = kept.trashed()
        click.echo("\n".join([*names, sentences.TRASH_COUNT.format(count=len(names))]))
        click.echo(sentences.TRASH_AT.format(folder=archive / TRASH))


def _say_json(values: dict[str, Any]) -> None:
    document = {"schema_version": SCHEMA_VERSION, **values}
    click.echo(json.dumps(document, indent=2, ensure_ascii=False, allow_nan=False))
