"""``heatwright flash``: the firmware onto a microcontroller."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from heatcontroller import config_rules
from heatwright import sentences
from heatwright.commissioning.flashing import Wanted, flash
from heatwright.commissioning.wiring_file import read_wiring, shipped_wiring
from heatwright.errors import BadInput, Fault

EPILOG = """\b
Examples:
  heatwright flash --port /dev/ttyACM0
  heatwright flash --port /dev/ttyACM0 --outputs ssr --wiring my-wiring.toml

\b
A wiring file names what differs from the shipped pins, in TOML:
  ssr_pin = 15
  relay_pin = 14
  door_switch_pin = "none"

\b
The controller stays without heat until every file is there and whole.
"""
OF_OUTPUTS = "What heats: none (reads only), ssr, or slow (a contactor)."


def choice(values: tuple[str, ...]) -> click.Choice[str]:
    return click.Choice(values)


@click.command(epilog=EPILOG)
@click.option("--port", required=True, help="The controller's serial port.")
@click.option("--chip", type=choice(("rp2", "esp32")), help="Default: as the chip says.")
@click.option(
    "--wiring",
    type=click.Path(path_type=Path, exists=True, dir_okay=False),
    help="Which pin does what. Default: as it was flashed last.",
)
@click.option("--sensor", type=choice(config_rules.SENSORS), help="The converter fitted.")
@click.option("--second", type=choice(("none", *config_rules.SENSORS)), help="A second one.")
@click.option("--outputs", type=choice(config_rules.OUTPUTS), help=OF_OUTPUTS)
@click.option("--mains-hz", type=click.Choice((50, 60)), help="Of the supply that heats.")
def command(port: str, chip: str | None, wiring: Path | None, **settings: Any) -> None:
    """Put the firmware on a microcontroller that has MicroPython."""
    pins = None if wiring is None else read_wiring(wiring, shipped_wiring())
    done = flash(
        port, Wanted(chip, pins, _config(settings)), lambda text: click.echo(text, err=True)
    )
    told = done.hello
    click.echo(
        sentences.FLASHED.format(
            firmware=told["firmware"],
            chip=told["chip"],
            copied=len(done.copied),
            kept=done.kept,
            state=told["state"],
        )
    )
    next_step = sentences.NO_OUTPUTS_YET if done.outputs == "none" else sentences.FLASHED_NEXT
    click.echo(next_step.format(port=port))


def _config(settings: dict[str, Any]) -> dict[str, Any]:
    """The settings that were given. Raises `BadInput` for those that the controller refuses."""
    given = {key: value for key, value in settings.items() if value is not None}
    faults = config_rules.faults(given)
    if faults:
        raise BadInput(*(Fault(sentences.BAD_CONFIG, found=str(fault)) for fault in faults))
    return given
