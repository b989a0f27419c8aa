"""The control core: told a reading and the time, answers with a command."""

from heatcore.command import Command
from heatcore.inputs import Inputs
from heatcore.plan import Plan


class ControlLoop:
    """tick() allocates nothing, parses nothing and builds no text. One object drives one run."""

    def __init__(self, plan: Plan) -> None:
        self.plan = plan
        self.command = Command()
        self.trip_seen = 0
        self.trip_expected = 0
        self.plan_ms = 0  # the plan's own clock: stands still while it waits
        self.ended = False  # finished, stopped or host lost: no more heat from this object

    def tick(self, now_ms: int, inputs: Inputs) -> Command:
        return self.command
