"""What a controller keeps: plans for runs without a laptop, and the log of its last runs."""

from __future__ import annotations

from dataclasses import dataclass

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


def runs(client: LinkClient) -> list[tuple[int, int]]:
    """Number and size in bytes of each run in the log, oldest first."""
    return [(int(number), int(size)) for number, size in client.ask("log")[0]]


def read_log(client: LinkClient, run: int) -> bytes:
    """One run's log, as the controller wrote it. Raises `target.Refused` for a number it lacks."""
    data = b""
    while True:
        offset, piece = client.ask("log", run, len(data))
        if not piece:
            return data
        data += str(piece).encode()
        if offset != len(data):
            # nothing longer than a byte a letter is ever in it
            return data
