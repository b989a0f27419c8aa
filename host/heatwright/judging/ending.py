"""Whether a run was ended before its plan had it done: its curve is then no measure of the plan."""

from __future__ import annotations

from typing import Literal

from heatcore import codes
from heatwright.records.reader import Event, Record

CutBy = Literal["safety", "stop"]
# Trips on readings that came from a sound converter and may not have been the sensor's place's.
DOUBTED = frozenset(
    (
        codes.SENSOR_RANGE,
        codes.SENSOR_REVERSED,
        codes.SENSOR_WRONG_TYPE,
        codes.SENSOR_STUCK,
        codes.SENSOR_RATE,
        codes.SENSORS_DISAGREE,
        codes.COLD_JUNCTION_RANGE,
        codes.FALL_UNDER_HEAT,
    )
)


def first_trip(record: Record) -> Event | None:
    """The first safety stop of a run, or None."""
    return next((e for e in record.events if e.is_trip), None)


def cut_by(record: Record) -> CutBy | None:
    """What ended the run early; a stop by hand, laptop or door while it cools ends nothing."""
    if first_trip(record):
        return "safety"
    stops = [e.time_s for e in record.events if e.code == codes.EVENT_STOP]
    return "stop" if any(not _cools(record, at_s) for at_s in stops) else None


def _cools(record: Record, at_s: float) -> bool:
    # the last sample up to then: an event comes with the tick that answers it
    before = record.stage[record.time_s < at_s]
    return bool(before.size) and int(before[-1]) == codes.RAMP_DOWN


def is_sensor_doubted(record: Record) -> bool:
    """Whether the run was stopped on a reading that may not have been where the sensor belongs."""
    trip = first_trip(record)
    if trip is None:
        return False
    # below nought: heat that is missing, a bead that moved or a wrong wire, and nobody knows which
    fell_short = trip.code == codes.NOT_AS_EXPECTED and (trip.seen or 0) < 0
    return trip.code in DOUBTED or fell_short
