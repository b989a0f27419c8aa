"""Where temperatures come from: a growing CSV, a controller that only reads, a person who types."""

from __future__ import annotations

import math
from collections.abc import Callable
from contextlib import suppress
from dataclasses import replace
from pathlib import Path
from typing import NamedTuple, Protocol

import numpy as np

from heatcore.inputs import NONE, OK
from heatwright import sentences
from heatwright.errors import BadInput, Fault, NoController
from heatwright.records.csv_columns import Asked, Column, lay_out
from heatwright.records.csv_import import MISSING, TO_C
from heatwright.records.csv_text import Sheet, read_sheet
from heatwright.records.lines import SAMPLE, named
from heatwright.running.link_client import LinkClient, check_versions
from heatwright.running.ports import open_port

# As often as a person can read a meter and type besides turning a knob.
ASK_S, TYPED_SILENT_S = 25.0, 60.0
# A finger that slips types 1500; no board that is coached is colder or hotter.
LEAST_C, MOST_C = -20.0, 400.0


class Reading(NamedTuple):
    """What came since the last look; None where nothing did."""

    value_c: float | None
    is_unplugged: bool = False


NOTHING = Reading(None)


class Readings(Protocol):
    """Asked once a second; never waits."""

    def take(self) -> Reading: ...

    def close(self) -> None: ...


class CsvTail:
    """The last row that another program has added to its file; a board column is preferred."""

    def __init__(self, path: Path) -> None:
        """Raises `BadInput` where the file has no header that tells the temperature."""
        sheet = read_sheet(path)
        columns = _columns(path, sheet)
        self._column = columns.get("board") or columns["sensor"]
        self._separator = sheet.separator
        self._path = path
        # rows of an earlier run are none of this one's
        self._at = path.stat().st_size

    def take(self) -> Reading:
        lines = self._new_lines()
        return self._read(lines[-1]) if lines else NOTHING

    def _new_lines(self) -> list[str]:
        """Whole lines only: half a number is another number."""
        try:
            with self._path.open("rb") as file:
                file.seek(self._at)
                data = file.read()
        except OSError:
            return []
        whole = data[: data.rfind(b"\n") + 1]
        self._at += len(whole)
        return [line for line in whole.decode(errors="replace").splitlines() if line.strip()]

    def _read(self, line: str) -> Reading:
        cells = [cell.strip().strip('"') for cell in line.split(self._separator)]
        text = cells[self._column.index] if self._column.index < len(cells) else ""
        if text.casefold() in MISSING:
            return Reading(None, is_unplugged=True)
        try:
            value = float(text.replace(",", "."))
        except ValueError:
            return Reading(None, is_unplugged=True)
        celsius = float(TO_C[self._column.unit or "C"](np.array([value]))[0])
        return Reading(celsius) if math.isfinite(celsius) else Reading(None, is_unplugged=True)

    def close(self) -> None:
        """Nothing is held open."""


def _columns(path: Path, sheet: Sheet) -> dict[str, Column]:
    """Which columns of a logger's file are which. Raises `BadInput`: here no option tells it."""
    try:
        return lay_out(path, sheet, Asked({})).columns
    except BadInput as error:
        cure = sentences.COACH_CSV_CURE
        raise BadInput(*(replace(fault, cure=cure) for fault in error.faults)) from error


class Listened:
    """A controller whose sensor is read; no verb that could heat is ever sent."""

    def __init__(self, client: LinkClient, again: Callable[[], LinkClient] | None = None) -> None:
        """``again`` opens a port anew that was lost. Raises `BadInput` where it could heat."""
        self._client: LinkClient | None = client
        self._again = again
        self._seq = -1
        refuse_outputs(client)

    def take(self) -> Reading:
        client = self._client or self._reopened()
        if client is None:
            return Reading(None, is_unplugged=True)
        try:
            client.hear()
        except NoController:
            client.close()
            self._client = None
            return Reading(None, is_unplugged=True)
        samples = [line for line in client.lines if line[0] == SAMPLE]
        client.lines.clear()
        return self._fresh(samples[-1]) if samples else NOTHING

    def _reopened(self) -> LinkClient | None:
        """The controller is plugged in again; one that could heat by now ends the run."""
        with suppress(NoController):
            self._client = self._again() if self._again else None
        if self._client:
            refuse_outputs(self._client)
        return self._client

    def _fresh(self, line: list[int]) -> Reading:
        """A steady board is no dead sensor, and a number that does not move on is none."""
        sample = named(line)
        if sample["sensor_status"] != OK or sample["sensor_mc"] == NONE:
            return Reading(None, is_unplugged=True)
        is_new = sample["sensor_seq"] != self._seq
        self._seq = sample["sensor_seq"]
        return Reading(sample["sensor_mc"] / 1000) if is_new else NOTHING

    def close(self) -> None:
        if self._client:
            self._client.close()


def refuse_outputs(client: LinkClient) -> None:
    """Raises `BadInput` where this controller is set up to heat something."""
    outputs = client.ask("config", "outputs")[0]
    if outputs != "none":
        raise BadInput(
            Fault(
                sentences.COACH_HAS_OUTPUTS,
                client.port,
                f"outputs = {outputs}",
                "outputs = none",
                sentences.COACH_HAS_OUTPUTS_CURE.format(port=client.port),
            )
        )


def typed_c(text: str) -> float | None:
    """The temperature that was typed, °C; None where no board may have it."""
    try:
        value_c = float(text.replace(",", "."))
    except ValueError:
        return None
    return value_c if LEAST_C <= value_c <= MOST_C else None


class Typed:
    """What the person types in: `put` takes it, `take` hands it on once."""

    def __init__(self) -> None:
        self._value_c: float | None = None

    def put(self, text: str) -> bool:
        """Whether this is a temperature that a board may have, °C."""
        value_c = typed_c(text)
        self._value_c = self._value_c if value_c is None else value_c
        return value_c is not None

    def take(self) -> Reading:
        value_c, self._value_c = self._value_c, None
        return Reading(value_c)

    def close(self) -> None:
        """Nothing is held open."""


def listen(port: str) -> Listened:
    """The controller at this port. Raises `NoController`, `BadInput`."""
    client = _greeted(port, within_s=3.0)
    try:
        return Listened(client, lambda: _greeted(port, within_s=0.0))
    except BaseException:
        client.close()
        raise


def _greeted(port: str, within_s: float) -> LinkClient:
    client = LinkClient(open_port(port), port)
    try:
        check_versions(client.await_hello(within_s), port)
    except BaseException:
        client.close()
        raise
    return client
