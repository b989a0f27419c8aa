"""Another plan on the same readings, and on the fitted source: what would have been different."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from heatcore.codes import TRIP_NAMES
from heatcore.inputs import NONE
from heatcore.limits import TICK_MS
from heatcore.plan import Plan
from heatsim.loop import Rig, run
from heatsim.plant import Plant
from heatsim.sensor import Sensor
from heatwright import sentences
from heatwright.documents.source import Source
from heatwright.errors import BadInput, Fault
from heatwright.judging.board import ON_THE_BOARD
from heatwright.judging.curves import time_above
from heatwright.records import lines, units
from heatwright.records.reader import Record
from heatwright.records.units import Floats
from heatwright.replaying.replay import Answers, answers

# A source this much warmer than the room has not rested.
WARM_K = 5.0
ROOM_C = (0.0, 45.0)
TYPICAL_ROOM_C = 25.0


@dataclass(frozen=True)
class Commanded:
    """What a plan would have commanded on the record's readings, one entry a tick."""

    name: str
    time_s: Floats
    target_c: Floats
    duty: Floats
    trip: str | None
    first_s: float | None
    first_recorded: float | None
    first_other: float | None

    @property
    def full_power_s(self) -> float:
        """Seconds at full power that would give the same heat."""
        return float(self.duty.sum()) * TICK_MS / 1000


@dataclass(frozen=True)
class Simulated:
    """A plan on the fitted source, nominal: the board in the simulation, never measured."""

    name: str
    time_s: Floats
    board_c: Floats
    sensor_c: Floats
    peak_board_c: float
    time_above_liquidus_s: float

    def as_json(self) -> dict[str, Any]:
        return {
            "plan": self.name,
            "simulated_peak_board_c": self.peak_board_c,
            "simulated_time_above_liquidus_s": self.time_above_liquidus_s,
        }


def commanded(record: Record, plan: Plan) -> Commanded:
    """Put the record's readings to another plan. Raises `BadInput` as `replay.answers` does."""
    found = answers(record, plan)
    duty = units.fraction_from_duty(found.column("duty"))
    parts = np.flatnonzero(found.column("duty") != record.raw["duty"][: found.ticks])
    first = int(parts[0]) if parts.size else None
    return Commanded(
        name=plan.name,
        time_s=record.time_s[: found.ticks],
        target_c=units.c_from_mc(found.column("y_mc")),
        duty=duty,
        trip=_trip(found),
        first_s=None if first is None else float(record.time_s[first]),
        first_recorded=None if first is None else float(record.duty[first]),
        first_other=None if first is None else float(duty[first]),
    )


def _trip(found: Answers) -> str | None:
    code = int(found.column("trip")[-1]) if found.ticks else 0
    return TRIP_NAMES.get(code, str(code)) if code else None


def simulated(
    record: Record, data: bytes, name: str, source: Source, liquidus_c: float
) -> Simulated:
    """Run a plan on the fitted source as it stands, in the room and from the warmth of the record.

    Raises:
        BadInput: the plan could not be started there.
    """
    rows: dict[str, list[list[Any]]] = {kind: [] for kind in lines.FIELDS}
    rig = _rig(record, source)
    try:
        run(rig, data, lambda line: rows[line[0]].append(line[1:]))
    except ValueError as error:
        raise BadInput(Fault(sentences.OTHER_REFUSED, name, str(error))) from error
    truth = np.array(rows[lines.TRUTH], dtype=np.int64)
    sensor_mc = [row[lines.SAMPLE_FIELDS.index("sensor_mc")] for row in rows[lines.SAMPLE]]
    time_s = units.s_from_ms(truth[:, lines.TRUTH_FIELDS.index("now_ms")])
    board_c = units.c_from_mc(truth[:, lines.TRUTH_FIELDS.index("board_mc")])
    return Simulated(
        name,
        time_s,
        board_c,
        units.c_from_mc(sensor_mc),
        float(board_c.max()),
        time_above(time_s, board_c, liquidus_c),
    )


def _rig(record: Record, source: Source) -> Rig:
    first_c, room_c = _first_c(record), _room_c(record)
    warm = first_c > room_c + WARM_K
    plant = Plant(source.plant_params())
    plant.reset(room_c, first_c if warm else None)
    on_board = record.header.get("placing") in ON_THE_BOARD
    reads = "board_sensor" if on_board else "sensor"
    return Rig(plant, Sensor("max31855"), reads=reads, ambient_c=room_c)


def _first_c(record: Record) -> float:
    known = record.sensor_c[np.isfinite(record.sensor_c)]
    return float(known[0]) if known.size else TYPICAL_ROOM_C


def _room_c(record: Record) -> float:
    """The room, as far as the record tells: the sensor at the start, if that was not warm."""
    junction_mc = int(record.raw["cold_junction_mc"][0])
    guesses = [_first_c(record)]
    if junction_mc != NONE:
        guesses.append(float(units.c_from_mc([junction_mc])[0]))
    coolest = min(guesses)
    return coolest if ROOM_C[0] <= coolest <= ROOM_C[1] else TYPICAL_ROOM_C
