"""A controller in its HIL boot: the host plays the sensor, and watches what would be commanded."""

from __future__ import annotations

from heatcore.inputs import DEAD_BUS, NONE, OK
from heatwright.commissioning.mpremote import Mpremote
from heatwright.commissioning.readings import Sample
from heatwright.commissioning.restart import await_controller, restarted
from heatwright.records.lines import SAMPLE_FIELDS
from heatwright.running.link_client import LinkClient

JUNCTION_MC = 25_000
SILENT_TRIES = 100


class HilRig:
    """Tells one made-up reading a tick. `last` is the controller's latest sample."""

    def __init__(self, client: LinkClient) -> None:
        self.client = client
        self.sensor_mc = JUNCTION_MC
        self.status = OK
        # counts like the start button: the rig is also the person at the controller
        self.presses = 0
        self.last: Sample = {}

    def state(self) -> str:
        """The controller's state now; also keeps its host lease alive."""
        return str(self.client.ask("lease")[0])

    def trip(self) -> str:
        """The name of the trip that it stands in, or "none"."""
        return str(self.client.ask("lease")[1])

    def tick(self) -> Sample:
        """Tell the reading, and wait for the sample that follows. Raises `Unanswered`."""
        mc = self.sensor_mc if self.status == OK else NONE
        told = (mc, self.status, JUNCTION_MC, NONE, DEAD_BUS, NONE, self.presses)
        self.client.ask("sense", *told)
        for _ in range(SILENT_TRIES):
            line = self.client.next_line()
            if line and line[0] == "s":
                self.client.lines.clear()
                self.last = dict(zip(SAMPLE_FIELDS, line[1:], strict=False))
                return self.last
        raise self.client.unanswered()

    def reach(self, state: str, ticks: int) -> bool:
        """Tick until the controller is in this state; False where it does not get there."""
        return any(self.tick() and self.state() == state for _ in range(ticks))


def enter(client: LinkClient) -> HilRig:
    """Into the HIL boot. Raises `target.Refused` where the controller is not at rest."""
    client.ask("service", "hil")
    return HilRig(restarted(client, "idle"))


def leave(rig: HilRig) -> str:
    """Through the service boot and a reset into a normal one; returns its state."""
    client = rig.client
    client.ask("service", "service")
    restarted(client, "service").close()
    Mpremote(client.port).reset()
    client = await_controller(client.port)
    state = str(client.hello()["state"])
    client.close()
    return state
