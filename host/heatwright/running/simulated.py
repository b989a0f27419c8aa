"""A run's controller that is simulated, core and state machine included: `sim:` and `plant:`."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from typing import Any

from heatcontroller.states import TRIPPED
from heatcore.codes import TRIP_NAMES
from heatcore.plan import PlanError
from heatsim import faults
from heatsim.loop import TICK_S, Rig, SimulatedController
from heatsim.plugin import PluginError
from heatwright.errors import BadInput, Fault
from heatwright.running.target import Line, Refused, nothing

# An order is taken within this while a tick is waited for.
NAP_S = 0.02


def plugin_fault(error: PluginError) -> BadInput:
    """What is wrong with a person's own plant, as every other fault is told."""
    return BadInput(Fault(error.what, error.where, error.found, error.expected))


@contextmanager
def _plant_blamed() -> Iterator[None]:
    try:
        yield
    except PluginError as error:
        raise plugin_fault(error) from error


class SimulatedTarget:
    """Follows `running.target.Target`; ``speed`` simulated seconds a second, None: no waiting.

    The speed may be changed, and something broken, while it runs.
    """

    is_real = False

    def __init__(
        self,
        rig: Rig,
        speed: float | None = None,
        clock: Callable[[], float] = time.monotonic,
        sleep: Callable[[float], None] = time.sleep,
    ) -> None:
        self._waiting: list[Line] = []
        with _plant_blamed():
            self._controller = SimulatedController(rig, self._waiting.append)
        self.speed = speed
        self._clock = clock
        self._sleep = sleep

    def hello(self) -> dict[str, Any]:
        return {"controller": "simulated"}

    def runs_kept(self) -> int:
        return 0

    def put(self, plan: bytes) -> None:
        try:
            self._controller.put(plan)
        except PlanError as error:
            raise Refused("take the plan", "bad_plan", str(error)) from error

    def ask(self, verb: str, *words: str | int) -> None:
        acts: dict[str, Callable[..., tuple[str, str] | None]] = {
            "arm": self._controller.arm,
            "start": self._controller.start,
            "stop": self._controller.stop,
            "mark": lambda *said: self._controller.mark(said != ("not_melted",)),
            "unmark": self._controller.unmark,
            "clear": self._controller.clear,
        }
        refused = acts[verb](*words)
        if refused:
            raise Refused(verb, *refused)

    def unattended(self) -> None:
        """Nobody simulated answers any more when the controller asks who is there."""
        self._controller.rig = replace(self._controller.rig, attends=False)

    def strike(self, name: str) -> None:
        """Break something of the workshop now, by its name in `heatsim.faults`."""
        faults.strike(self._controller, name)

    @property
    def trip(self) -> str:
        """The name of the trip that the controller stands in; "" where it stands in none."""
        machine = self._controller.machine
        return TRIP_NAMES[machine.trip] if machine.state == TRIPPED else ""

    def look(self) -> None:
        """Nothing needs asking: `trip` is always the present."""

    def heard(self) -> Line:
        """What the controller says with no run on, a tick later: one sample."""
        self._pause(self._clock(), nothing)
        self._tick()
        self._waiting.clear()
        return self._controller.sample()

    def lines(self, idle: Callable[[], None] = nothing) -> Iterator[Line]:
        due_s = self._clock()
        while not self._controller.is_over:
            self._tick()
            yield from self._taken()
            due_s += self._pause(due_s, idle)
        yield from self._taken()

    def _tick(self) -> None:
        with _plant_blamed():
            self._controller.tick()

    def _taken(self) -> list[Line]:
        taken = self._waiting[:]
        self._waiting.clear()
        return taken

    def _pause(self, due_s: float, idle: Callable[[], None]) -> float:
        """Wait until this tick's time is over; returns how long a tick is on the wall's clock."""
        tick_s = TICK_S / self.speed if self.speed else 0.0
        ahead_s = due_s + tick_s - self._clock() if tick_s else 0.0
        while ahead_s > 0:
            self._sleep(min(ahead_s, NAP_S))
            idle()
            ahead_s -= NAP_S
        return tick_s

    def close(self) -> None:
        self._controller.stop()
