"""One run as learning takes it: what was done and what was read, on the plant's own even grid."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import NotRequired, TypedDict, Unpack

import numpy as np
from numpy.typing import NDArray

from heatsim.batch import INPUTS, inputs_table
from heatsim.plant import NODES, STEP_S
from heatwright import sentences
from heatwright.judging.board import ON_THE_BOARD
from heatwright.judging.melting import Melt
from heatwright.measuring import soundness
from heatwright.measuring.sensor_checks import check_record
from heatwright.records import door, folder, imports
from heatwright.records.reader import Record
from heatwright.records.reader import read as read_record
from heatwright.records.units import Floats

Bools = NDArray[np.bool_]

# Readings as the plant has them: a channel is a bead, named as its node is.
SENSOR, BOARD_BEAD = "sensor", "board_sensor"
NODE_OF = {name: NODES.index(name) for name in NODES}
# A source that starts this much warmer than the room is one that was used before.
WARM_K = 10.0
# The fan runs through the whole of a run; a logger knows nothing of it.
FAN = 1.0


@dataclass(frozen=True)
class Measurement:
    """Inputs (steps, 5) and readings (steps + 1) of a run; a reading that is missing is NaN."""

    name: str
    sha256: str
    inputs: Floats
    readings: dict[str, Floats]
    start_c: float | None = None
    placing: str = "not_known"
    header: dict[str, object] = field(default_factory=dict)
    statements: tuple[str, ...] = ()
    melts: tuple[Melt, ...] = ()

    @property
    def time_s(self) -> Floats:
        """Seconds since the first reading, (steps + 1)."""
        return STEP_S * np.arange(len(self.inputs) + 1, dtype=np.float64)

    @property
    def duty(self) -> Floats:
        return self.inputs[:, INPUTS.index("duty")]

    @property
    def door(self) -> Floats:
        return self.inputs[:, INPUTS.index("door")]

    @property
    def ambient_c(self) -> float:
        return float(self.inputs[0, INPUTS.index("ambient_c")])

    @property
    def channel(self) -> str:
        """The reading that matters most: the board's where there is one."""
        return BOARD_BEAD if BOARD_BEAD in self.readings else SENSOR


def load(
    path: Path,
    *,
    duty_percent: bool = False,
    placing: str | None = None,
    usually: str = "air",
) -> Measurement:
    """Read a run's folder, its record.txt, or a CSV; ``placing`` says where a CSV's sensor_c sat.

    None: where the CSV itself says, else where it ``usually`` sits.

    Raises:
        BadInput: it can't be read, or what it says can't be true.
    """
    if path.suffix.lower() == ".csv":
        return from_table(imports.read_csv(path, duty_percent), placing, usually)
    return from_record(read_record(path))


def from_record(record: Record) -> Measurement:
    """Our own record; the truth of a simulated plant is not looked at."""
    channels = {}
    for name, values in (("placing", record.sensor_c), ("second_placing", record.second_c)):
        if np.isfinite(values).sum() > 1:
            channels[_channel(str(record.header.get(name)))] = values
    raw = soundness.Raw(
        where=str(record.path),
        time_s=record.time_s,
        duty=record.duty,
        door=door.door_open(record),
        channels=channels,
        ambient_c=float(np.nan_to_num(_first(record.raw["cold_junction_mc"] / 1000.0), nan=25.0)),
    )
    sound = soundness.checked(raw)
    return _on_grid(
        replace(sound, statements=(*sound.statements, *_of_door(record), *check_record(record))),
        name=str(record.header.get("name") or folder_name(record.path)),
        sha256=hashlib.sha256(record.path.read_bytes()).hexdigest(),
        placing=str(record.header.get("placing", "not_known")),
        header=dict(record.header),
    )


def _of_door(record: Record) -> list[str]:
    cued = record.raw["door_cue"].any()
    return [sentences.NO_DOOR_SWITCH] if cued and not door.has_switch(record) else []


def folder_name(path: Path) -> str:
    """What a person calls this record: its folder's name, or the file's own."""
    return path.parent.name if path.name == folder.RECORD else path.stem


def from_table(
    table: imports.Imported, placing: str | None = None, usually: str = "air"
) -> Measurement:
    """Another logger's table; its first reading is taken for the room's temperature."""
    columns, placing = table.columns, placing or table.placing or usually
    channels = {_channel(placing): columns["sensor_c"]}
    if "board_c" in columns:
        channels[BOARD_BEAD] = columns["board_c"]
    raw = soundness.Raw(
        where=str(table.path),
        time_s=columns["time_s"],
        duty=columns["duty"],
        door=np.nan_to_num(columns.get("door", np.zeros(len(columns["time_s"])))),
        channels=channels,
        ambient_c=None,
    )
    return _on_grid(
        soundness.checked(raw), name=table.path.stem, sha256=table.sha256, placing=placing
    )


class _Known(TypedDict):
    """What is known of a run besides its curves."""

    name: str
    sha256: str
    placing: str
    header: NotRequired[dict[str, object]]


def _channel(placing: str) -> str:
    return BOARD_BEAD if placing in ON_THE_BOARD else SENSOR


def _first(values: Floats) -> float:
    good = values[np.isfinite(values) & (values > -100.0)]
    return float(good[0]) if good.size else float("nan")


def _on_grid(raw: soundness.Raw, **known: Unpack[_Known]) -> Measurement:
    """Sampled every `STEP_S`: inputs held, readings on straight lines between neighbours."""
    time_s = raw.time_s - raw.time_s[0]
    grid_s = STEP_S * np.arange(int(time_s[-1] / STEP_S + 1e-6) + 1, dtype=np.float64)
    held = np.searchsorted(time_s, grid_s[:-1] + 1e-6, side="right") - 1
    readings = {name: _joined(time_s, values, grid_s) for name, values in raw.channels.items()}
    start_c = max(_first(values[:20]) for values in raw.channels.values())
    ambient_c = start_c if raw.ambient_c is None else raw.ambient_c
    warm = start_c > ambient_c + WARM_K
    inputs = inputs_table(
        raw.duty[held],
        door=raw.door[held],
        fan=FAN,
        ambient_c=ambient_c if warm else _room(readings),
    )
    return Measurement(
        inputs=inputs,
        readings=readings,
        start_c=start_c if warm else None,
        statements=raw.statements,
        **known,
    )


def _room(readings: dict[str, Floats]) -> float:
    """What the beads read in the first two seconds, before any heat has come to them."""
    return float(np.nanmean([np.nanmean(values[:9]) for values in readings.values()]))


def _joined(time_s: Floats, values: Floats, grid_s: Floats) -> Floats:
    good = np.isfinite(values)
    known_s, known = time_s[good], values[good]
    after = np.clip(np.searchsorted(known_s, grid_s), 1, len(known_s) - 1)
    apart = known_s[after] - known_s[after - 1] > soundness.joined_s(known_s)
    joined = np.interp(grid_s, known_s, known, left=np.nan, right=np.nan)
    return np.where(apart, np.nan, joined)
