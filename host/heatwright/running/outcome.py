"""How a run ended, told from its record alone."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from heatcore import codes
from heatwright import sentences
from heatwright.records.reader import Event, Record
from heatwright.records.units import MILLI

Outcome = Literal["finished", "tripped", "stopped", "ended_unmelted"]
FIRST_TRIP, LAST_TRIP = 1, 99
# What the two numbers of a trip are; those of all others are bare numbers.
OF_TEMPERATURE = {
    codes.SENSOR_RANGE,
    codes.OVER_TEMPERATURE,
    codes.OVER_PLAN_CEILING,
    codes.BOARD_TOO_HOT,
    codes.HOT_AFTER_OFF,
}
OF_TIME = {codes.SENSOR_STALE, codes.RUN_TOO_LONG, codes.TICK_LEASE, codes.NOT_PROVEN_OFF}


@dataclass(frozen=True)
class Trip:
    """Why the controller stopped for safety: the rule's name, its numbers (C, s or bare), when."""

    code: str
    seen: float | None
    expected: float | None
    at_s: float


def trip_of(record: Record) -> Trip | None:
    """The first trip of a run, or None."""
    event = next((e for e in record.events if FIRST_TRIP <= e.code <= LAST_TRIP), None)
    if event is None:
        return None
    name = codes.TRIP_NAMES.get(event.code, f"trip_{event.code}")
    return Trip(name, *_numbers(event), event.time_s)


def _numbers(event: Event) -> tuple[float | None, float | None]:
    if event.code not in OF_TEMPERATURE | OF_TIME:
        return event.seen, event.expected
    seen, expected = (None if n is None else n / MILLI for n in (event.seen, event.expected))
    return seen, expected


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
    unit = _unit(trip.code)
    return sentences.TRIP_LINE.format(
        at=f"{trip.at_s:.0f} s",
        name=trip.code.replace("_", " "),
        seen=f"{trip.seen:.6g}{unit}" if trip.seen is not None else "-",
        expected=f"{trip.expected:.6g}{unit}" if trip.expected is not None else "-",
    )


def _unit(name: str) -> str:
    numbers = {name: number for number, name in codes.TRIP_NAMES.items()}
    if numbers.get(name) in OF_TEMPERATURE:
        return " °C"
    return " s" if numbers.get(name) in OF_TIME else ""
