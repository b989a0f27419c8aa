"""``heatwright judge``: what a recorded run came to."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

import click

from heatwright import sentences
from heatwright.documents.bench import Bench
from heatwright.errors import EXIT_DONE, EXIT_VERDICT
from heatwright.judging.joints import note, parse, refs, unknown_refs
from heatwright.judging.kept import kept
from heatwright.judging.measures import RATE_WINDOW_S
from heatwright.judging.verdict import SCHEMA_VERSION, Verdict
from heatwright.judging.windows import Measure
from heatwright.judging.wording import amount, window
from heatwright.records.reader import Record, read
from heatwright.reporting.seen_report import SeenReport, report

EXAMPLES = """\b
Examples:
  heatwright judge runs/20260102-203000-sac305
  heatwright judge runs/20260102-203000-sac305 --board bat-logger --details
  heatwright judge runs/20260102-203000-sac305 --joint U1=bridge --joint J2=charred
  heatwright judge --states
"""
OF_JOINT = "Note a joint, as U1=bridge; repeatable. --states lists what may stand there."


def _say_states(as_json: bool) -> None:
    if as_json:
        states = [{"state": name, "looks": looks} for name, looks in sentences.JOINT_LOOKS.items()]
        _say_document({"schema_version": SCHEMA_VERSION, "states": states})
        return
    click.echo(sentences.JOINT_STATES_HEAD)
    for state, looks in sentences.JOINT_LOOKS.items():
        click.echo(f"  {state:15}{looks}")


@click.command(epilog=EXAMPLES)
@click.argument("record", required=False, metavar="RECORD", type=click.Path(path_type=Path))
@click.option(
    "--paste",
    "paste_name",
    metavar="NAME",
    help="A shipped paste (sac305, sn63pb37, ...) or a paste file; default: the run's own.",
)
@click.option("--board", metavar="NAME|FILE", help="The board with its parts; default: the run's.")
@click.option("--source", metavar="NAME|FILE", help="The heat source; default: the run's own.")
@click.option("--joint", "joints", multiple=True, metavar="REF=STATE", help=OF_JOINT)
@click.option("--tested", multiple=True, metavar="TEXT", help="Note what a test of it showed.")
@click.option("--states", is_flag=True, help="What a joint may be, how it looks: no RECORD needed.")
@click.option("--details", is_flag=True, help="Also ranges, places on the curve, heat in figures.")
@click.option("--json", "as_json", is_flag=True, help="One JSON document on standard output.")
def command(
    record: Path | None,
    paste_name: str | None,
    board: str | None,
    source: str | None,
    joints: tuple[str, ...],
    tested: tuple[str, ...],
    states: bool,
    details: bool,
    as_json: bool,
) -> None:
    """Judge the run in RECORD (a run's folder or its record.txt): paste, parts, joints.

    What you see on the board goes in with --joint, is kept in the run's notes.toml, and comes
    back with likely causes, touch-up and what to probe. Ends with 3 where the verdict is fail or
    unknown.
    """
    if states:
        _say_states(as_json)
        return
    if record is None:
        raise click.MissingParameter(param_hint="'RECORD'", param_type="argument")
    run = read(record)
    place = run.path.parent
    own = kept(place, paste_name, board, source)
    _note(place, joints, tested, own.bench)
    verdict = own.judge(run)
    seen = report(place, run, verdict, own.bench)
    if as_json:
        _say_json(run, verdict, seen)
    else:
        _say(run, verdict, details)
        for line in seen.lines():
            click.echo(line)
    failed = verdict.status in ("fail", "unknown")
    click.get_current_context().exit(EXIT_VERDICT if failed else EXIT_DONE)


def _note(place: Path, texts: Sequence[str], tested: Sequence[str], bench: Bench) -> None:
    joints = parse(texts)
    for ref in unknown_refs(joints, bench):
        known = ", ".join(refs(bench))
        click.echo(sentences.JOINT_UNKNOWN_REF.format(ref=ref, known=known), err=True)
    if joints or tested:
        note(place, joints, tested, dt.datetime.now())


def _say_json(run: Record, verdict: Verdict, seen: SeenReport) -> None:
    _warn_of_damage(run)
    document = (
        verdict.as_json()
        | seen.as_json()
        | {
            "record": str(run.path),
            "damaged_lines": run.damaged_lines,
            "trace_sha256": run.trace_sha256,
        }
    )
    _say_document(document)


def _say_document(document: dict[str, Any]) -> None:
    click.echo(json.dumps(document, indent=2, ensure_ascii=False, allow_nan=False))


def _say(run: Record, verdict: Verdict, details: bool) -> None:
    click.echo(f"{verdict.status.replace('_', ' ')}: {verdict.sentence}\n")
    for line in _table(verdict.measures, details):
        click.echo(line)
    click.echo()
    for line in _sources(verdict.measures):
        click.echo(line)
    for text in verdict.notes:
        click.echo(text)
    if verdict.board:
        tolerance = f"{verdict.board.tolerance_k:.2g} °C"
        said = sentences.JUDGED_FROM[verdict.board.origin]
        click.echo(said.format(tolerance=tolerance, window=amount(RATE_WINDOW_S, "s")))
    if details:
        for line in _heat(verdict):
            click.echo(line)
    _warn_of_damage(run)


def _table(measures: Sequence[Measure], details: bool) -> Iterator[str]:
    """The run's own measures, then those of each part under its name."""
    for part in dict.fromkeys(measure.part for measure in measures):
        if part is not None:
            yield part
        for measure in measures:
            if measure.part == part:
                yield _row(measure) + (_carried(measure) if details else "")


def _row(measure: Measure) -> str:
    value = "not known" if measure.value is None else amount(measure.value, measure.unit)
    name = measure.name.replace("_", " ")
    status = measure.status.replace("_", " ")
    return f"  {name:26}{value:>11}  {window(measure):21}{status}"


def _carried(measure: Measure) -> str:
    """How far the board's uncertainty carries the value, its margin, and where it lies."""
    if measure.value_low is None or measure.value_high is None:
        return ""
    low, high = (
        amount(end, measure.unit).split()[0] for end in (measure.value_low, measure.value_high)
    )
    margin = "" if measure.margin is None else f", margin {amount(measure.margin, measure.unit)}"
    at = "" if measure.at_s is None else f", at {measure.at_s:.0f} s"
    return f"  ({low} to {high}{margin}{at})"


def _heat(verdict: Verdict) -> Iterator[str]:
    if verdict.heating_factor_k_s is not None and verdict.intermetallic_growth is not None:
        yield sentences.HEAT_IN_FIGURES.format(
            factor=f"{verdict.heating_factor_k_s:.0f}", growth=f"{verdict.intermetallic_growth:.2f}"
        )


def _sources(measures: Sequence[Measure]) -> Iterator[str]:
    """Where the windows come from, each source once."""
    for source in dict.fromkeys(measure.source for measure in measures):
        names = dict.fromkeys(m.name.replace("_", " ") for m in measures if m.source == source)
        yield sentences.WINDOWS_FROM.format(names=", ".join(names), source=source)


def _warn_of_damage(run: Record) -> None:
    if run.damaged_lines:
        click.echo(sentences.DAMAGED_LINES.format(count=run.damaged_lines), err=True)
