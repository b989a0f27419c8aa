"""How a run ended, told from its record alone."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from heatcore import codes
from heatwright import sentences
from heatwright.records.reader import Record

Outcome = Literal["finished", "tripped", "stopped", "ended_unmelted"]
FIRST_TRIP, LAST_TRIP = 1, 99


@dataclass(frozen=True)
class Trip:
    """Why the controller stopped for safety: the rule's name, the core's numbers, when."""

    code: str
    seen: int | None
    expected: int | None
    at_s: float


def trip_of(record: Record) -> Trip | None:
    """The first trip of a run, or None."""
    event = next((e for e in record.events if FIRST_TRIP <= e.code <= LAST_TRIP), None)
    if event is None:
        return None
    name = codes.TRIP_NAMES.get(event.code, f"trip_{event.code}")
    return Trip(name, event.seen, event.expected, event.time_s)


def outcome_of(record: Record) -> Outcome:
    """A trip comes before a stop, a stop before an unseen melt."""
    happened = {event.code for event in record.events}
    if trip_of(record):
        return "tripped"
    if codes.EVENT_STOP in happened:
        return "stopped"
    if codes.EVENT_NOT_MELTED in happened and codes.EVENT_MARK not in happened:
        return "ended_unmelted"
    return "finished"


def trip_line(trip: Trip) -> str:
    """What the controller saw and what it expected, in words."""
    return sentences.TRIP_LINE.format(
        at=f"{trip.at_s:.0f} s",
        name=trip.code.replace("_", " "),
        seen=trip.seen,
        expected=trip.expected,
    )
