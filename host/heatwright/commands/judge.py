"""``heatwright judge``: what a recorded run came to."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from pathlib import Path

import click

from heatwright import sentences
from heatwright.documents import load_paste
from heatwright.documents.paste import Paste
from heatwright.errors import EXIT_DONE, EXIT_VERDICT, BadInput, Fault
from heatwright.judging.measures import RATE_WINDOW_S
from heatwright.judging.verdict import Verdict, judge
from heatwright.judging.windows import Measure
from heatwright.judging.wording import amount
from heatwright.records import folder
from heatwright.records.reader import Record, read


@click.command()
@click.argument("record", type=click.Path(path_type=Path))
@click.option(
    "--paste",
    "paste_name",
    metavar="NAME",
    help="A shipped paste (sac305, sn63pb37, ...) or a paste file; default: the run's own.",
)
@click.option("--json", "as_json", is_flag=True, help="One JSON document on standard output.")
def command(record: Path, paste_name: str | None, as_json: bool) -> None:
    """Judge the run in RECORD (a run's folder or its record.txt) against a paste's windows.

    Ends with 3 where the verdict is fail or unknown.
    """
    run = read(record)
    verdict = judge(run, _paste(run, paste_name))
    if as_json:
        _say_json(run, verdict)
    else:
        _say(run, verdict)
    failed = verdict.status in ("fail", "unknown")
    click.get_current_context().exit(EXIT_VERDICT if failed else EXIT_DONE)


def _paste(run: Record, name: str | None) -> Paste:
    if name is not None:
        return load_paste(name)
    own = run.path.parent / folder.PASTE
    if own.is_file():
        return load_paste(own)
    raise BadInput(
        Fault(
            what=sentences.NO_PASTE_IN_FOLDER,
            where=str(run.path.parent),
            expected=f"{folder.PASTE} beside the record, or --paste",
            cure="say which paste was used, for example --paste sac305",
        )
    )


def _say_json(run: Record, verdict: Verdict) -> None:
    _warn_of_damage(run)
    document = verdict.as_json() | {
        "record": str(run.path),
        "damaged_lines": run.damaged_lines,
        "trace_sha256": run.trace_sha256,
    }
    click.echo(json.dumps(document, indent=2, ensure_ascii=False, allow_nan=False))


def _say(run: Record, verdict: Verdict) -> None:
    click.echo(f"{verdict.status.replace('_', ' ')}: {verdict.sentence}\n")
    for measure in verdict.measures:
        click.echo(_row(measure))
    click.echo()
    for line in _sources(verdict.measures):
        click.echo(line)
    for note in verdict.notes:
        click.echo(note)
    if verdict.board:
        tolerance = f"{verdict.board.tolerance_k:g} °C"
        window = amount(RATE_WINDOW_S, "s")
        click.echo(sentences.JUDGED_FROM.format(tolerance=tolerance, window=window))
    _warn_of_damage(run)


def _row(measure: Measure) -> str:
    value = "not known" if measure.value is None else amount(measure.value, measure.unit)
    name = measure.name.replace("_", " ")
    status = measure.status.replace("_", " ")
    return f"  {name:26}{value:>11}  {_window(measure):21}{status}"


def _sources(measures: Sequence[Measure]) -> Iterator[str]:
    """Where the windows come from, each source once."""
    for source in dict.fromkeys(measure.source for measure in measures):
        names = [m.name.replace("_", " ") for m in measures if m.source == source]
        yield sentences.WINDOWS_FROM.format(names=", ".join(names), source=source)


def _window(measure: Measure) -> str:
    if measure.low is None:
        return "" if measure.high is None else f"at most {measure.high:g} {measure.unit}"
    return f"{measure.low:g} to {measure.high:g} {measure.unit}"


def _warn_of_damage(run: Record) -> None:
    if run.damaged_lines:
        click.echo(sentences.DAMAGED_LINES.format(count=run.damaged_lines), err=True)
