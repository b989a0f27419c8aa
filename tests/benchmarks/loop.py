"""How fast core, state machine and plant run closed, and what share of that is the core's."""

import time

from heatcontroller.states import StateMachine
from heatcore.loop import ControlLoop
from heatsim import loop
from heatwright.documents import load_paste, load_profile, load_source
from heatwright.planning.nominal import plan_for_source
from heatwright.planning.wanted import Wanted
from heatwright.running.connect import rig
from heatwright.running.job import Asked

Row = tuple[str, float, str, str]
ASKED = Asked(on="sim:toaster", source="toaster", sensor="board_sensor")
RUNS = 5


class Timed:
    """Adds up the time spent in one method of a class, while the context is open."""

    def __init__(self, owner: type, name: str) -> None:
        self.spent_s = 0.0
        self._owner, self._name = owner, name
        self._method = getattr(owner, name)

    def __enter__(self) -> "Timed":
        def timed(*arguments):
            began_s = time.perf_counter()
            try:
                return self._method(*arguments)
            finally:
                self.spent_s += time.perf_counter() - began_s

        setattr(self._owner, self._name, timed)
        return self

    def __exit__(self, *_: object) -> None:
        setattr(self._owner, self._name, self._method)


def figures() -> list[Row]:
    """Rows of name, value, unit and bar."""
    began_s = time.perf_counter()
    plan = _plan()
    planned_s = time.perf_counter() - began_s
    simulated_s, took_s = _runs(plan)
    with Timed(ControlLoop, "tick") as core, Timed(StateMachine, "step") as machine:
        _, watched_s = _runs(plan)
    return [
        ("closed loop, simulated", simulated_s / took_s, "s/s", "printed"),
        ("closed loop, share in the core", core.spent_s / watched_s, "", "printed"),
        (
            "closed loop, share in core and state machine",
            machine.spent_s / watched_s,
            "",
            "printed",
        ),
        ("nominal plan for the toaster", planned_s, "s", "printed"),
    ]


def _plan() -> bytes:
    wanted = Wanted(load_paste("sac305"), load_profile("sac305"), True, ASKED.sensor)
    return plan_for_source(load_source("toaster").plant_params(), wanted).plan


def _runs(plan: bytes) -> tuple[float, float]:
    simulated_s, began_s = 0.0, time.perf_counter()
    for _ in range(RUNS):
        simulated_s += loop.run(rig(ASKED), plan, lambda line: None).now_ms / 1000
    return simulated_s, time.perf_counter() - began_s
