"""What a controller keeps: plans for runs without a laptop, and the log of its last runs."""

from __future__ import annotations

from dataclasses import dataclass

from heatwright import sentences
from heatwright.errors import BadInput, Fault
from heatwright.running.link_client import LinkClient


@dataclass(frozen=True)
class KeptPlan:
    """One plan on the controller."""

    id: str
    name: str
    size: int


def plans(client: LinkClient) -> list[KeptPlan]:
    """Every plan, in the order of their ids. Raises `target.Refused` while it heats."""
    found: list[KeptPlan] = []
    while True:
        answer = client.ask("plans", len(found))
        if len(answer) < 4:
            return found
        found.append(KeptPlan(str(answer[1]), str(answer[2]), int(answer[3])))


def remove(client: LinkClient, plan_id: str) -> None:
    """Remove one plan. Raises `BadInput` for one it has not, `target.Refused` while it heats."""
    _check(plan_id, [plan.id for plan in plans(client)], sentences.NO_KEPT_PLAN, "plans", client)
    client.ask("remove", plan_id)


def runs(client: LinkClient) -> list[tuple[int, int]]:
    """Number and size in bytes of each run in the log, oldest first."""
    return [(int(number), int(size)) for number, size in client.ask("log")[0]]


def read_log(client: LinkClient, run: int) -> bytes:
    """One run's log, as the controller wrote it. Raises `BadInput` for a run that it has not."""
    numbers = [str(number) for number, _ in runs(client)]
    _check(str(run), numbers, sentences.NO_KEPT_RUN, "log", client)
    data = b""
    while True:
        offset, piece = client.ask("log", run, len(data))
        if not piece:
            return data
        data += str(piece).encode()
        if offset != len(data):
            # nothing longer than a byte a letter is ever in it
            return data


def _check(wanted: str, there: list[str], what: str, command: str, client: LinkClient) -> None:
    if wanted in there:
        return
    expected = ", ".join(there) or sentences.NOTHING_KEPT
    cure = sentences.SEE_KEPT.format(command=command, port=client.port)
    raise BadInput(Fault(what, client.port, wanted, expected, cure))
