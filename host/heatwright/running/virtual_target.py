"""A run's controller that is virtual, at a port, and broken in its time by ``--fault``."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import Any

from heatsim.faults import Fault
from heatsim.virtual import breaking
from heatwright.running.target import Line, Target, nothing


class VirtualTarget:
    """Follows `running.target.Target`; the board at ``port`` is told what breaks, and when.

    To the run it is as real as any other controller at a port.
    """

    is_real = True

    def __init__(self, target: Target, port: str, faults: Sequence[Fault]) -> None:
        self._target = target
        self._port = port
        self._to_strike = sorted(faults, key=lambda fault: fault.at_s)

    def hello(self) -> dict[str, Any]:
        return self._target.hello()

    def runs_kept(self) -> int:
        return self._target.runs_kept()

    def put(self, plan: bytes) -> None:
        self._target.put(plan)

    def ask(self, verb: str, *words: str | int) -> None:
        self._target.ask(verb, *words)

    def lines(self, idle: Callable[[], None] = nothing) -> Iterator[Line]:
        for one in self._target.lines(idle):
            if one[0] == "s":
                self._strike(one[2] / 1000)
            yield one

    def _strike(self, time_s: float) -> None:
        while self._to_strike and time_s >= self._to_strike[0].at_s:
            breaking.ask(self._port, self._to_strike.pop(0).name)

    def close(self) -> None:
        self._target.close()
