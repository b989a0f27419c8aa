"""``heatwright mark``: the instant of the melt, and what the source file learns from it."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import click

from heatwright.commands.saying import say
from heatwright.records.melt_marks import SEEN

EXAMPLES = """\b
Examples:
  heatwright mark runs/20260102-203000-sac305 --at 4:12 --source my-oven.toml --accept
  heatwright mark runs/20260102-203000-sac305 --at 20:34:41 --video-time
  heatwright mark runs/20260102-203000-sac305 --undo

\b
The instant: grey grains run together into bright metal and parts settle. Not
when flux turns wet and glossy (about 100 to 160 °C), and never at freezing.
"""
OF_AT = "Seconds or M:SS since the run began."
OF_VIDEO = "TIME is the clock time, H:MM:SS, that a video or photo shows."
OF_UNDO = "Take the latest mark made afterwards back; with --source, say how to unlearn it."
OF_FORCE = "Keep a mark that contradicts the model; the file says so."
OF_SOURCE = "The source file to learn; default: the run's own, told only."


@click.command(epilog=EXAMPLES)
@click.argument("record", type=click.Path(path_type=Path))
@click.option("--at", "at", metavar="TIME", help=OF_AT)
@click.option("--alloy", default="", help="What melted; default: the run's own paste.")
@click.option("--seen", type=click.Choice(SEEN), default=SEEN[0], show_default=True)
@click.option("--video-time", is_flag=True, help=OF_VIDEO)
@click.option("--undo", is_flag=True, help=OF_UNDO)
@click.option("--force", is_flag=True, help=OF_FORCE)
@click.option("--source", type=click.Path(path_type=Path, dir_okay=False), help=OF_SOURCE)
@click.option("--accept", is_flag=True, help="Keep what was learnt in the source file.")
@click.option("--json", "as_json", is_flag=True, help="One JSON document on stdout.")
def command(record: Path, as_json: bool, **options: Any) -> None:
    """Mark the melt in a record, and refit the source by all its marks."""
    from heatwright.measuring import mark_report
    from heatwright.records.reader import read

    run = read(record)
    if options["undo"]:
        say(mark_report.undone(run, options["source"]), as_json)
        return
    found = mark_report.marked(
        run,
        mark_report.Wanted(
            at=options["at"],
            alloy=options["alloy"],
            seen=options["seen"],
            by_clock=options["video_time"],
            force=options["force"],
        ),
        options["source"],
        accept=options["accept"],
    )
    if as_json:
        click.echo(json.dumps(found.as_json(), indent=2, ensure_ascii=False, allow_nan=False))
    else:
        for line in found.lines():
            click.echo(line)
