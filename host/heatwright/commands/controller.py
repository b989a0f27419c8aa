"""``heatwright controller``: what a controller says of itself, keeps, and has stopped for."""

from __future__ import annotations

import json
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Any

import click

from heatsim.virtual.pins import read_pins
from heatwright import sentences
from heatwright.commissioning.kept import plans, read_log, runs
from heatwright.commissioning.kept import remove as remove_plan
from heatwright.commissioning.wiring_file import read_wiring, shipped_wiring
from heatwright.errors import NoController
from heatwright.running.link_client import LinkClient, Unanswered
from heatwright.running.ports import candidates, open_port

EXAMPLES = """\b
Examples:
  heatwright controller list
  heatwright controller hello --port /dev/ttyACM0
  heatwright controller plans --port /dev/ttyACM0 --remove 0badcafe
  heatwright controller log --port /dev/ttyACM0 3 --out run-3.txt
  heatwright controller clear --port /dev/ttyACM0
  heatwright controller wiring --out wiring.svg
"""
PORT = click.option("--port", required=True, help="The controller's serial port.")
JSON = click.option("--json", "as_json", is_flag=True, help="One JSON document on stdout.")


@contextmanager
def _opened(port: str) -> Iterator[LinkClient]:
    with closing(LinkClient(open_port(port), port)) as client:
        client.hello()
        yield client


@click.group(epilog=EXAMPLES)
def command() -> None:
    """Talk to a controller."""


@command.command("list")
def list_ports() -> None:
    """The USB serial ports here, and what answers at each."""
    ports = candidates()
    if not ports:
        click.echo(sentences.NO_CONTROLLERS)
    for port in ports:
        click.echo(_port_line(port))


def _port_line(port: str) -> str:
    try:
        with closing(LinkClient(open_port(port), port)) as client:
            return sentences.HELLO_LINE.format(port=port, **client.hello(tries=2))
    except Unanswered:
        what = sentences.PORT_SILENT
    except NoController:
        what = sentences.PORT_IN_USE
    return sentences.PORT_LINE.format(port=port, what=what)


@command.command()
@PORT
@JSON
def hello(port: str, as_json: bool) -> None:
    """Versions, chip, state, and whether it keeps a log."""
    with _opened(port) as client:
        told = client.hello()
    if as_json:
        click.echo(json.dumps({"schema_version": 1, "port": port, **told}, indent=2))
        return
    click.echo(sentences.HELLO_LINE.format(port=port, **told))
    if told.get("trouble"):
        click.echo(sentences.LOG_TROUBLE.format(trouble=told["trouble"]))
    if not told.get("hard_timer"):
        click.echo(sentences.NO_HARD_TIMER)


@command.command("plans")
@PORT
@click.option("--remove", metavar="ID", help="Remove this one.")
def list_plans(port: str, remove: str | None) -> None:
    """The plans that it keeps, for runs without a laptop."""
    with _opened(port) as client:
        if remove:
            remove_plan(client, remove)
            click.echo(sentences.PLAN_REMOVED.format(id=remove))
            return
        found = plans(client)
    for plan in found:
        click.echo(sentences.PLAN_LINE.format(id=plan.id, name=plan.name, size=plan.size))
    if not found:
        click.echo(sentences.PLANS_NONE)


@command.command()
@PORT
@click.argument("run", type=click.IntRange(min=1), required=False)
@click.option("--out", type=click.Path(path_type=Path, dir_okay=False), help="Default: run-N.txt")
def log(port: str, run: int | None, out: Path | None) -> None:
    """The runs in its own log; with a number, fetch that one as a record."""
    with _opened(port) as client:
        if run is None:
            _list_runs(runs(client))
            return
        data = read_log(client, run)
    path = out or Path(f"run-{run}.txt")
    path.write_bytes(data)
    click.echo(sentences.LOG_KEPT.format(path=path, size=len(data)))


def _list_runs(found: list[tuple[int, int]]) -> None:
    for number, size in found:
        click.echo(sentences.LOG_LINE.format(number=number, size=size))
    if not found:
        click.echo(sentences.LOGS_NONE)


@command.command()
@PORT
@click.option("--yes", is_flag=True, help="I have looked at the oven: do not ask.")
def clear(port: str, yes: bool) -> None:
    """Clear a safety stop, the heater proven off."""
    with _opened(port) as client:
        state: Any
        state, trip, seen, expected = client.ask("lease")[:4]
        if state != "tripped":
            click.echo(sentences.NOTHING_TO_CLEAR.format(state=state))
            return
        question = sentences.ABOUT_TO_CLEAR.format(trip=trip, seen=seen, expected=expected)
        if yes or click.confirm(question):
            client.ask("clear", trip)
            click.echo(sentences.CLEARED)


@command.command("wiring")
@click.option("--wiring", type=click.Path(path_type=Path, exists=True, dir_okay=False))
@click.option(
    "--out", type=click.Path(path_type=Path), default=Path("wiring.svg"), show_default=True
)
def draw_wiring(wiring: Path | None, out: Path) -> None:
    """Draw the low-voltage wiring, SVG or PNG, of the shipped pins or your own."""
    from heatwright.commissioning.wiring_drawing import draw

    shipped = shipped_wiring()
    own = read_wiring(wiring, shipped) if wiring else {}
    draw({**read_pins(shipped), **own}, out)
    click.echo(sentences.WROTE.format(path=out))
