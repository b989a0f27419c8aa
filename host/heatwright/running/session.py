"""One run, start to end, on whatever controller it is: arm, start, record, stop when told to."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Protocol

from heatwright.records.writer import RecordWriter
from heatwright.running.target import Line, Refused, Target

# Orders that the link says in two words.
SAID = {"not_melted": ("mark", "not_melted")}

Watch = Callable[[Line], None]
Tell = Callable[[str], None]


class Orders(Protocol):
    """What a person asks for while the run goes on."""

    def waiting(self) -> Iterable[str]:
        """Verbs asked for since the last call: stop, mark, unmark. Never waits."""
        ...


def arm(target: Target, plan: bytes, plan_id: str) -> None:
    """Put and arm the plan. Raises `Refused`: nothing has been heated or recorded then."""
    target.put(plan)
    target.ask("arm", plan_id)


def record(target: Target, writer: RecordWriter, watch: Watch, orders: Orders, tell: Tell) -> None:
    """Start what is armed, then record until the controller is at rest.

    Orders are passed on at once; one that is refused is told and changes nothing.
    """
    target.ask("start")

    def take_orders() -> None:
        for verb in orders.waiting():
            _pass_on(target, verb, tell)

    for line in target.lines(take_orders):
        writer.write(line)
        watch(line)
        take_orders()


def _pass_on(target: Target, verb: str, tell: Tell) -> None:
    try:
        target.ask(*SAID.get(verb, (verb,)))
    except Refused as refused:
        tell(str(refused))
