"""``heatwright demo``: the whole job on a simulated oven, in one picture, computed as you watch."""

from __future__ import annotations

import json
import shlex
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from heatcore.plan import read as read_plan
from heatwright import sentences
from heatwright.commands.page import open_page
from heatwright.commands.run import tell_plan
from heatwright.documents import load_paste, load_profile, load_source
from heatwright.judging.wording import amount
from heatwright.planning.nominal import plan_without_source, tuned
from heatwright.planning.wanted import Wanted
from heatwright.records.reader import read
from heatwright.reporting import picture
from heatwright.running.connect import connect
from heatwright.running.execute import SCHEMA_VERSION, Report, execute, true_board
from heatwright.running.guided import Guided, Means, run_guided
from heatwright.running.job import Asked, Job, prepare
from heatwright.running.onlooker import Onlooker
from heatwright.running.session import Orders, Watch

if TYPE_CHECKING:
    from heatwright.page.server import Setting

OVEN, PASTE, PROFILE = "toaster", "sac305", "sac305"
SOURCE = "my-oven.toml"
# One oven of its kind, on a day with ordinary mains.
SEED = 3
PICTURE = "demo.png"
EXAMPLES = """\b
Examples:
  heatwright demo
  heatwright demo --headless
  heatwright demo --no-browser --http-port 0
"""
# Ten minutes of heat in half of one: slow enough to follow.
SPEED = 20.0
WORKSHOP = {
    "on": f"sim:{OVEN}",
    "source": OVEN,
    "sensor": "board_sensor",
    "board": "bat-logger",
    "paste": PASTE,
    "seed": str(SEED),
}
# A working temperature at which the data-sheet line's controller is tuned.
TUNED_AT_C = 175.0


@dataclass(frozen=True)
class Pair:
    """The two runs of the demo."""

    left: Report
    right: Report


@click.command(epilog=EXAMPLES)
@click.option("--headless", is_flag=True, help="No page: three runs, and a picture of two.")
@click.option(
    "--out",
    type=click.Path(path_type=Path, file_okay=False),
    default=Path("demo"),
    show_default=True,
    help="Folder for the picture and the runs.",
)
@click.option("--http-port", type=click.IntRange(0, 65535), default=8617, show_default=True,
              metavar="N", help="Of the page; 0 takes any free one.")  # fmt: skip
@click.option("--no-browser", is_flag=True, help="Do not open a browser.")
@click.option("--json", "as_json", is_flag=True, help="One JSON document on standard output.")
def command(headless: bool, out: Path, http_port: int, no_browser: bool, as_json: bool) -> None:
    """Open the page on a simulated oven in a small workshop: choose, plan, run, break things.

    With --headless: what goes wrong without a plan, what a plan does about it, in one picture.
    """
    if headless or as_json:
        _headless(out, as_json)
    else:
        open_page(_workshop(out, http_port), not no_browser)


def _workshop(out: Path, port: int) -> Setting:
    """The bat-call logger on a weak toaster in the garage."""
    from heatwright.page.server import Setting

    return Setting(out=out, own=out / "documents", port=port, speed=SPEED, first=WORKSHOP)


def _headless(out: Path, as_json: bool) -> None:
    _tell(sentences.DEMO_BEGIN)
    pair = Pair(left=_left(out), right=_right(out))
    path = out / PICTURE
    picture.draw_pair(_left_panel(pair.left), _right_panel(pair.right), path)
    commands = [line.format(record=_quoted(pair.right)) for _, line in sentences.DEMO_COMMANDS]
    if as_json:
        click.echo(json.dumps(_document(pair, path, commands), indent=2, ensure_ascii=False))
    else:
        _say(pair, path, commands)


def _tell(text: str) -> None:
    click.echo(text, err=True)


def _left(out: Path) -> Report:
    """The textbook line on the air sensor, as well as any controller could follow it."""
    _tell("\n" + sentences.DEMO_LEFT)
    asked = Asked(on=f"sim:{OVEN}", profile=PROFILE, seed=SEED)
    job = _well_tuned(prepare(asked))
    return execute(job, connect(asked, None), out, _tell)


def _well_tuned(job: Job) -> Job:
    """Gains for this very oven: that the board lags must not look like bad tuning."""
    asked = job.asked
    params = load_source(OVEN).plant_params()
    gains = tuned(params, asked.ambient_c, TUNED_AT_C, asked.sensor)
    wanted = Wanted(job.paste, load_profile(PROFILE))
    planned = plan_without_source(wanted, gains)
    return replace(job, data=planned.plan, plan=read_plan(planned.plan), planned=planned)


def _right(out: Path) -> Report:
    """The same oven and the same sensor: measured with one melt marked, planned for, run."""
    source = _measured(out)
    _tell("\n" + sentences.DEMO_RIGHT)
    asked = Asked(on=f"sim:{OVEN}", source=str(source), seed=SEED)
    job = prepare(asked)
    tell_plan(job, _tell)
    return execute(job, connect(asked, None), out, _tell)


def _measured(out: Path) -> Path:
    """The source file that one guided run gives, with one mark of whoever stood by."""
    from heatwright.measuring import marking
    from heatwright.measuring.report import measured

    _tell("\n" + sentences.DEMO_MEASURE)
    guided = Guided(on=f"sim:{OVEN}", kind=OVEN, seed=SEED, paste=PASTE)
    place = run_guided(guided, out, _tell, Means(overseen=_onlooker))
    run = marking.marked_run(load_source(OVEN), read(place))
    report = measured(OVEN, [run], [], out / SOURCE, accept=True)
    _tell("\n".join(report.lines()))
    return report.source


def _onlooker(show: Watch, person: Orders) -> tuple[Watch, Orders]:
    both = Onlooker(show, person, load_paste(PASTE).liquidus_c)
    return both, both


def _left_panel(report: Report) -> picture.Panel:
    verdict = replace(report.verdict, sentence=left_sentence(report))
    return picture.Panel(report.record, verdict, sentences.DEMO_LEFT_TITLE)


def _right_panel(report: Report) -> picture.Panel:
    title = sentences.DEMO_RIGHT_TITLE
    return picture.Panel(report.record, report.verdict, title, beside_truth=True)


def left_sentence(report: Report) -> str:
    """What the left run shows: only what happened in it."""
    above_c = report.verdict.paste.above_c
    peak_c, _ = true_board(report.record, above_c)
    peak = amount(peak_c or 0.0, "°C")
    sensor = _sensor_sentence(report)
    if peak_c is None or peak_c >= above_c:
        return sentences.DEMO_MELTED.format(sensor=sensor, peak=peak)
    return sentences.DEMO_UNMELTED.format(sensor=sensor, peak=peak)


def _sensor_sentence(report: Report) -> str:
    reached_c, wanted_c = float(report.record.sensor_c.max()), load_profile(PROFILE).peak_c
    if report.verdict.paste.window.peak_c.holds(reached_c):
        return sentences.DEMO_SENSOR_RIGHT
    reached, wanted = amount(reached_c, "°C"), amount(wanted_c, "°C")
    return sentences.DEMO_SENSOR_BEHIND.format(sensor=reached, target=wanted)


def _quoted(report: Report) -> str:
    return shlex.quote(str(report.folder))


def _document(pair: Pair, path: Path, commands: list[str]) -> dict[str, Any]:
    return {
        "schema_version": SCHEMA_VERSION,
        "picture": str(path),
        "left": pair.left.as_json(),
        "right": pair.right.as_json(),
        "commands": commands,
    }


def _say(pair: Pair, path: Path, commands: list[str]) -> None:
    click.echo(f"\n{sentences.DEMO_LEFT_TITLE}: {left_sentence(pair.left)}")
    click.echo(f"{sentences.DEMO_RIGHT_TITLE}: {pair.right.verdict.sentence}")
    click.echo(sentences.DEMO_PICTURE.format(picture=path))
    click.echo("\n" + sentences.DEMO_NEXT)
    for (what, _), line in zip(sentences.DEMO_COMMANDS, commands, strict=True):
        click.echo(f"  {what}:\n    {line}")
    click.echo("\n" + sentences.DEMO_PAGE)
