"""What a controller says by itself while nothing runs: its inputs, one sample a tick."""

from __future__ import annotations

from collections.abc import Callable

from heatcore.inputs import NONE, OK
from heatwright.records.lines import SAMPLE_FIELDS
from heatwright.running.link_client import LinkClient

Sample = dict[str, int]
TICK_S = 0.25


def samples(client: LinkClient, seconds: float) -> list[Sample]:
    """The samples of the next `seconds` of the controller's clock. Raises `Unanswered`."""
    found: list[Sample] = []

    def keep(sample: Sample) -> bool:
        found.append(sample)
        return False

    watch(client, seconds, keep)
    return found


def watch(client: LinkClient, seconds: float, done: Callable[[Sample], bool]) -> bool:
    """Look at each sample until `done`; False where `seconds` of the controller's clock went by.

    Raises `Unanswered` where the controller falls silent.
    """
    client.lines.clear()
    ticks, silent = 0, 0
    while ticks < seconds / TICK_S:
        line = client.next_line()
        silent = 0 if line else silent + 1
        if silent > 100:
            raise client.unanswered()
        if line and line[0] == "s":
            ticks += 1
            if done(dict(zip(SAMPLE_FIELDS, line[1:], strict=False))):
                return True
    return False


def sensor_c(sample: Sample) -> float | None:
    """The control sensor in C, or None where it gives no sound reading."""
    if sample["sensor_status"] != OK or sample["sensor_mc"] == NONE:
        return None
    return sample["sensor_mc"] / 1000


def value(sample: Sample, name: str) -> int | None:
    """An input, or None where it is not fitted."""
    return None if sample[name] == NONE else sample[name]
