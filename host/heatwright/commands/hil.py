"""``heatwright hil``: hardware-in-loop tests on a controller whose heater pins are no outputs."""

from __future__ import annotations

import click

from heatwright import sentences
from heatwright.commissioning.hil_cases import CASES, Case, CaseFailed
from heatwright.commissioning.hil_rig import HilRig, enter, leave
from heatwright.commissioning.restart import await_controller
from heatwright.errors import EXIT_VERDICT, BadInput, Fault
from heatwright.running.link_client import check_versions

EPILOG = """\b
Examples:
  heatwright hil --port /dev/ttyACM0
  heatwright hil --port /dev/ttyACM0 --only trips

\b
The host plays the sensor and watches what the controller would command. A boot
of its own: heater pins stay inputs, the real sensor is still read, and 60 °C or
any current ends it. Only a reset leaves it.

\b
A case that fails leaves the controller as it is: look at it before going on.
Ends with 0 all passed, 3 a case failed, 4 no controller.
"""


@click.command(epilog=EPILOG)
@click.option("--port", required=True, help="The controller's serial port.")
@click.option("--only", metavar="TEXT", help="Only cases whose name holds this.")
def command(port: str, only: str | None) -> None:
    """Try the firmware on its own chip, with made-up readings and no heat."""
    click.echo(sentences.HIL_CAUTION, err=True)
    chosen = _chosen(only)
    client = await_controller(port)
    check_versions(client.hello(), port)
    click.echo(sentences.HIL_STARTING, err=True)
    rig = enter(client)
    failed = next((name for name, case in chosen.items() if not _passes(rig, name, case)), None)
    if failed is not None:
        rig.client.close()
        click.echo(sentences.HIL_FAILED.format(name=failed))
        click.get_current_context().exit(EXIT_VERDICT)
    click.echo(sentences.HIL_DONE.format(count=len(chosen), state=leave(rig)))


def _chosen(only: str | None) -> dict[str, Case]:
    chosen = {name: case for name, case in CASES.items() if not only or only in name}
    if not chosen:
        raise BadInput(Fault(sentences.HIL_NO_CASE, "--only", str(only), ", ".join(CASES)))
    return chosen


def _passes(rig: HilRig, name: str, case: Case) -> bool:
    why = ""
    try:
        case(rig)
    except CaseFailed as failed:
        why = f": {failed}"
    click.echo(sentences.HIL_CASE.format(mark="FAILED" if why else "ok", name=name, why=why))
    return not why
