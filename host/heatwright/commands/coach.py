"""``heatwright coach``: sand, hot plate or hot air, where a hand is the actuator."""

from __future__ import annotations

import json
import sys
from contextlib import closing, suppress
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from heatwright import sentences
from heatwright.coaching.outfit import Outfit, beforehand, cautions, outfit_of
from heatwright.commands.finite import FiniteRange
from heatwright.documents import load_source
from heatwright.errors import EXIT_INTERRUPTED, EXIT_STOPPED, BadInput, Fault

if TYPE_CHECKING:
    from heatwright.coaching.readings import Readings

EXAMPLES = """\b
Examples:
  heatwright coach --source sand --paste sac305 --practice --seed 3
  heatwright coach --source sand --practice --sensor none
  heatwright coach --source hot-plate --paste sn42bi58 --sensor log.csv
  heatwright coach --source my-pan.toml --paste sac305 --sensor /dev/ttyACM0
  heatwright coach --source hot-air --paste sac305 --sensor none

\b
While it runs: Enter marks the melt, u and Enter takes a mark back, a number is a
typed reading in °C, s and Enter stops, Ctrl-C stops at once. With --bead sensor
and with --sensor none the mark is what it goes by.
The heat is yours: the coach never turns anything on or off.
"""
OF_SENSOR = "A controller that only reads, a growing CSV, typed in, nothing, or a simulation."
OF_BEAD = "Where the bead is: on the board, or where the source file has its sensor."
OF_SPEED = "Times real time: of a rehearsal (default: as fast as it goes), of sim:NAME (1)."
SIM = "sim:"


@click.command(epilog=EXAMPLES)
@click.option("--source", required=True, metavar="sand|hot-plate|hot-air|FILE")
@click.option("--paste", default="sac305", show_default=True, metavar="NAME|FILE")
@click.option(
    "--board",
    metavar="NAME|FILE",
    help="The board: the source is reckoned with it, and it is kept with the run.",
)
@click.option(
    "--sensor",
    default="typed",
    show_default=True,
    metavar="PORT|FILE.csv|typed|none|sim:NAME",
    help=OF_SENSOR,
)
@click.option(
    "--bead",
    type=click.Choice(("board_sensor", "sensor")),
    default="board_sensor",
    show_default=True,
    help=OF_BEAD,
)
@click.option("--practice", is_flag=True, help="Rehearse with a simulated person, at full speed.")
@click.option("--seed", type=click.IntRange(min=0), default=1, show_default=True)
@click.option("--speed", type=FiniteRange(min=0.1), metavar="X", help=OF_SPEED)
@click.option("--yes", is_flag=True, help="The cautions are read.")
@click.option(
    "--out",
    type=click.Path(path_type=Path, file_okay=False),
    default=Path("runs"),
    show_default=True,
    help="Folder in which the run gets its own.",
)
@click.option("--json", "as_json", is_flag=True, help="One JSON document on stdout.")
def command(
    source: str, paste: str, board: str | None, bead: str, yes: bool, as_json: bool, **options: Any
) -> None:
    """Be told in time what to do with the knob, and when to lift the board."""
    from heatwright.coaching.set_up import readings_for
    from heatwright.running.connect import check_speed
    from heatwright.running.named_on import check_on

    outfit = outfit_of(source, paste, board, bead)
    sensor = options["sensor"]
    if sensor.startswith(SIM):
        check_on(sensor, "--sensor")
        _check_alike(outfit, sensor)
    if options["practice"] or sensor.startswith(SIM):
        _caution(outfit)
        _practise(outfit, as_json, options)
        return
    check_speed(options["speed"])
    with closing(readings_for(sensor)) as readings:
        _caution(outfit)
        if not yes and sys.stdin.isatty():
            click.prompt(sentences.COACH_PAUSE, default="", show_default=False, err=True)
        _coach(outfit, readings, as_json, options)


def _check_alike(outfit: Outfit, sensor: str) -> None:
    """Advice for a pan of sand is none for a jet of air. Raises `BadInput`."""
    kind = load_source(sensor.removeprefix(SIM)).kind
    if kind != outfit.source.kind:
        what, cure = sentences.COACH_OTHER_SOURCE, sentences.COACH_OTHER_SOURCE_CURE
        raise BadInput(Fault(what, f"--sensor {sensor}", kind, outfit.source.kind, cure))


def _caution(outfit: Outfit) -> None:
    for line in (*cautions(outfit), "", *beforehand(outfit), ""):
        _tell(line)
    if outfit.bead == "sensor":
        _tell(sentences.COACH_BEAD_OFF)


def _tell(text: str) -> None:
    # a terminal that has gone must not end a run that is on
    with suppress(OSError):
        click.echo(text, err=True)


def _practise(outfit: Outfit, as_json: bool, options: dict[str, Any]) -> None:
    from heatwright.coaching.practice import practise
    from heatwright.coaching.screen import Lines, screen_for

    practice = options["practice"]
    name = options["sensor"].removeprefix(SIM) if options["sensor"].startswith(SIM) else None
    coached = practise(
        outfit,
        options["out"],
        options["seed"],
        Lines(_tell) if practice else screen_for(_tell),
        _tell,
        name,
        options["speed"] or (None if practice else 1.0),
        sensor=_rehearsed_sensor(options["sensor"]),
    )
    _say(coached, as_json)
    _teach(outfit, coached)
    click.get_current_context().exit(coached.report.exit_code)


def _rehearsed_sensor(sensor: str) -> str:
    """Typed in only where the person asks for just that: a rehearsal has a sensor of its own."""
    context = click.get_current_context()
    is_given = context.get_parameter_source("sensor") is click.core.ParameterSource.COMMANDLINE
    return sensor if is_given and not sensor.startswith(SIM) else ""


def _coach(outfit: Outfit, readings: Readings, as_json: bool, options: dict[str, Any]) -> None:
    from heatwright.coaching.live import Keyboard, coach_live
    from heatwright.coaching.screen import screen_for
    from heatwright.coaching.set_up import coach_for

    sensor = options["sensor"]
    if sensor == "typed":
        _tell(sentences.COACH_TYPE)
    if sensor == "none":
        _tell(sentences.COACH_NO_SENSOR)
    coach = coach_for(outfit, sensor)
    coached, ending = coach_live(
        outfit, coach, readings, screen_for(_tell), Keyboard(), options["out"], sensor, _tell
    )
    if ending != "finished":
        _tell(sentences.COACH_INTERRUPTED)
    _say(coached, as_json)
    if ending == "finished" and sensor not in ("typed", "none"):
        _teach(outfit, coached)
    exits = {"interrupted": EXIT_INTERRUPTED, "stopped": EXIT_STOPPED}
    click.get_current_context().exit(exits.get(ending, coached.report.exit_code))


def _teach(outfit: Outfit, coached: Any) -> None:
    """How this run makes the next one better, where a bead on the board has seen it."""
    if coached.report.verdict.board_from == "measured":
        kind, folder = outfit.source.kind, coached.report.folder
        _tell(sentences.COACH_LEARN.format(folder=folder, kind=kind, file=f"my-{kind}.toml"))


def _say(coached: Any, as_json: bool) -> None:
    if as_json:
        text = json.dumps(coached.as_json(), indent=2, ensure_ascii=False, allow_nan=False)
        click.echo(text)
        return
    verdict = coached.report.verdict
    click.echo(f"{verdict.status.replace('_', ' ')}: {verdict.sentence}")
    for note in verdict.notes:
        click.echo(note)
    click.echo(sentences.RUN_KEPT.format(folder=coached.report.folder))
