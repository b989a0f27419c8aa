"""A foreign CSV becomes a run: a folder, a record with its origin noted, the CSV beside it."""

from __future__ import annotations

import hashlib
import os
import shutil
import tempfile
from collections.abc import Mapping
from datetime import datetime
from pathlib import Path

import numpy as np

from heatcore.command import Command
from heatcore.inputs import DEAD_BUS, NONE, OK, Inputs
from heatwright import sentences
from heatwright.errors import BadInput, Fault
from heatwright.records import folder, lines, units
from heatwright.records.csv_import import Table
from heatwright.records.writer import RecordWriter

ORIGINAL = "original.csv"
ON = "import:"
# Longer silence of a sensor could hide a whole time above liquidus.
GAP_S = 5.0


def import_run(
    table: Table, out: Path, name: str, placing: str, documents: Mapping[str, bytes]
) -> Path:
    """Write the run's folder, whole or not at all; returns it.

    ``placing`` is where the sensor sat, in the words of the source document; a column of the
    board is a bead on the board. ``documents`` are copied in, by the names of ``folder``.

    Raises:
        BadInput: the folder can't be made or written, for example on a full disk.
    """
    data = table.path.read_bytes()
    started = _started(table)
    try:
        out.mkdir(parents=True, exist_ok=True)
        # the archive passes over names that begin with a dot: nobody sees half a run
        beside = Path(tempfile.mkdtemp(dir=out, prefix=".import-"))
    except OSError as error:
        raise _not_kept(out, str(error.strerror)) from error
    try:
        hashes = {_key(file): folder.put(beside, file, text) for file, text in documents.items()}
        folder.put(beside, ORIGINAL, data)
        _write(table, beside / folder.RECORD, _header(table, name, placing, data, started) | hashes)
        beside.chmod(0o755)
        made = folder.make(out, name, started)
        os.replace(beside, made)
    except OSError as error:
        raise _not_kept(out, str(error.strerror)) from error
    finally:
        shutil.rmtree(beside, ignore_errors=True)
    return made


def gaps(table: Table) -> list[tuple[float, float]]:
    """Each stretch without a row longer than `GAP_S`: when it begins and how long it is, s."""
    steps = np.diff(table.time_s)
    return [(float(table.time_s[at]), float(steps[at])) for at in np.flatnonzero(steps > GAP_S)]


def _key(file: str) -> str:
    return f"{file.partition('.')[0]}_sha256"


def _started(table: Table) -> datetime:
    """When the run began: as the file says, else when it was written."""
    if table.started:
        return datetime.fromisoformat(table.started)
    return datetime.fromtimestamp(table.path.stat().st_mtime).astimezone()


def _header(
    table: Table, name: str, placing: str, data: bytes, started: datetime
) -> dict[str, lines.Value]:
    header: dict[str, lines.Value] = {
        "name": name,
        "on": ON + table.path.name,
        "imported_sha256": hashlib.sha256(data).hexdigest(),
        "placing": placing if table.has("sensor") else "on_board",
        "started": started.isoformat(timespec="seconds"),
        "started_from": "rows" if table.started else "file",
    }
    return header | ({"second_placing": "on_board"} if table.has("board") else {})


def _write(table: Table, path: Path, header: Mapping[str, lines.Value]) -> None:
    inputs, command = Inputs(), Command()
    # what a foreign file can't tell is missing, not nought
    command.stage = NONE
    sensor_c = table.sensor_c if table.has("sensor") else table.board_c
    with RecordWriter(path, header) as writer:
        for row, time_s in enumerate(table.time_s):
            _fill(inputs, row, float(sensor_c[row]), float(table.board_c[row]))
            inputs.door = _whole(table.door[row], 1)
            command.duty = _whole(table.duty[row], units.FULL_DUTY)
            command.y_mc = units.mc_from_c(float(table.target_c[row]))
            writer.sample(row, units.ms_from_s(float(time_s)), inputs, command)
    if writer.trouble:
        raise _not_kept(path, writer.trouble)


def _fill(inputs: Inputs, row: int, sensor_c: float, board_c: float) -> None:
    inputs.sensor_mc, inputs.second_mc = units.mc_from_c(sensor_c), units.mc_from_c(board_c)
    inputs.sensor_status = DEAD_BUS if inputs.sensor_mc == NONE else OK
    inputs.second_status = DEAD_BUS if inputs.second_mc == NONE else OK
    inputs.sensor_seq = inputs.second_seq = row
    inputs.sensor_age_ms = inputs.second_age_ms = 0


def _whole(value: float, parts: int) -> int:
    return NONE if np.isnan(value) else round(float(value) * parts)


def _not_kept(path: Path, reason: str) -> BadInput:
    return BadInput(
        Fault(sentences.IMPORT_NOT_KEPT, str(path), reason, cure=sentences.IMPORT_NOT_KEPT_CURE)
    )
