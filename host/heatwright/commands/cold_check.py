"""``heatwright cold-check``: a newly wired controller, step by step."""

from __future__ import annotations

from pathlib import Path

import click

from heatwright.commissioning.cold_check import cold_check
from heatwright.commissioning.person import AtTerminal, FromFile, Person
from heatwright.commissioning.restart import await_controller
from heatwright.running.link_client import check_versions

EPILOG = """\b
The steps: both outputs through a restart, sensor and cold junction, warming
by hand, boiling water, stop button, start button, door switch, safety relay
and SSR one at a time, then the first heat. The mains stays unplugged until
the last one.

\b
Examples:
  heatwright cold-check --port /dev/ttyACM0

\b
Ends with 0 all passed, 3 a step failed, 4 no controller, 6 left.
"""


@click.command(epilog=EPILOG)
@click.option("--port", required=True, help="The controller's serial port.")
@click.option(
    "--answers",
    type=click.Path(path_type=Path, dir_okay=False),
    help="A TOML file that answers the questions, for tests of a bench.",
)
def command(port: str, answers: Path | None) -> None:
    """Check a newly wired controller before it heats anything."""
    person: Person = FromFile(answers) if answers else AtTerminal()
    client = await_controller(port)
    check_versions(client.hello(), port)
    cold_check(client, person, click.echo)
