"""How a run ended, told from its record alone."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from heatcore import codes
from heatcore.inputs import COLD_JUNCTION, OPEN
from heatwright import sentences
from heatwright.judging.ending import first_trip
from heatwright.records.reader import Record
from heatwright.records.units import MILLI

Outcome = Literal["finished", "tripped", "stopped", "ended_unmelted"]
# What the two numbers of a trip are, in thousandths; those of all others are bare numbers.
UNITS = {
    "°C": (
        codes.SENSOR_RANGE,
        codes.OVER_TEMPERATURE,
        codes.OVER_PLAN_CEILING,
        codes.BOARD_TOO_HOT,
        codes.SENSOR_REVERSED,
        codes.COLD_JUNCTION_RANGE,
        codes.HOT_AFTER_OFF,
    ),
    "K": (
        codes.SENSORS_DISAGREE,
        codes.NO_RESPONSE,
        codes.RISE_WITHOUT_HEAT,
        codes.FALL_UNDER_HEAT,
        codes.NOT_AS_EXPECTED,
        codes.UNEXPLAINED_RISE,
    ),
    "K/s": (codes.SENSOR_RATE,),
    "s": (
        codes.SENSOR_STALE,
        codes.RUN_TOO_LONG,
        codes.TICK_LEASE,
        codes.CLOCK_JUMP,
        codes.SENSOR_STUCK,
        codes.NOT_PROVEN_OFF,
        codes.NOT_COOLING,
    ),
    "A": (codes.CURRENT_IN_OFF_SLOT, codes.NO_CURRENT, codes.CURRENT_WHILE_OFF),
}
UNIT_OF = {codes.TRIP_NAMES[code]: unit for unit, those in UNITS.items() for code in those}
# Their numbers are the status that the sensor's converter gave, and what a sound one is.
OF_STATUS = frozenset(codes.TRIP_NAMES[status] for status in range(OPEN, COLD_JUNCTION + 1))


@dataclass(frozen=True)
class Trip:
    """Why the controller stopped for safety: the rule's name, its numbers (in `UNITS`), when."""

    code: str
    seen: float | None
    expected: float | None
    at_s: float


def trip_of(record: Record) -> Trip | None:
    """The first trip of a run, or None."""
    event = first_trip(record)
    if event is None:
        return None
    name = codes.TRIP_NAMES.get(event.code, f"trip_{event.code}")
    parts = MILLI if name in UNIT_OF else 1
    return Trip(name, _in_unit(event.seen, parts), _in_unit(event.expected, parts), event.time_s)


def _in_unit(number: int | None, parts: int) -> float | None:
    return number if number is None or parts == 1 else number / parts


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
    """What the controller saw, what it expected and what to do, in words."""
    unit = UNIT_OF.get(trip.code, "")
    advice = sentences.TRIP_ADVICE.get(trip.code, "")
    told = sentences.TRIP_LINE.format(
        at=f"{trip.at_s:.0f} s",
        name=trip.code.replace("_", " "),
        numbers=_numbers(trip, unit),
    )
    return f"{told} {advice}".rstrip()


def _numbers(trip: Trip, unit: str) -> str:
    """Nothing where the trip's name says all: its numbers are a status, or two bare noughts."""
    if trip.code in OF_STATUS or not (unit or trip.seen or trip.expected):
        return ""
    seen, limit = _said(trip.seen, unit), _said(trip.expected, unit)
    return sentences.TRIP_NUMBERS.format(seen=seen, limit=limit)


def _said(number: float | None, unit: str) -> str:
    return "nothing" if number is None else f"{number:.6g} {unit}".rstrip()
