"""The virtual controller: how much faster than real time, how late its ticks, how full its heap."""

import struct
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from itertools import pairwise
from pathlib import Path

sys.path.append(str(Path(__file__).resolve().parents[1]))

from heatcore.limits import TICK_MS
from heatcore.plan import read
from heatsim.virtual.chip import HEAP, HEAP_WORDS, ChipSetup, heap
from heatsim.virtual.frames import Gone, Kind
from heatsim.virtual.lockstep import LockstepController
from heatsim.virtual.serving import Timing
from heatwright.errors import HeatwrightError
from virtual_made import PINS, kettle, put_firmware, target, track_plan

Row = tuple[str, float, str, str]
PANEL = {**PINS, "I2C_SDA_PIN": 4, "I2C_SCL_PIN": 5, "PANEL_BUTTON_PINS": (6, 7, 8)}
# An RP2040 at 125 MHz, emulated, took 7 ms a tick; its flash erases a sector in 45 ms (typical, a
# data sheet's figure from memory), and littlefs may erase two for one write.
HARD = Timing(tick_us=7000, flash_ms=90)
RUN_S = 240.0
WORD_BYTES = struct.calcsize("P")
KB = HEAP_WORDS * 4 // 1024


def figures() -> list[Row]:
    """Rows of name, value, unit and bar."""
    lowest, late_ms, ratio = _memory(), _worst_late_ms(), max(_ratio() for _ in range(3))
    return [
        ("lockstep, whole run with its link", ratio, "x real time", ">= 1000"),
        (f"lowest free heap of {KB} kB", lowest * 4 / WORD_BYTES / 1024, "kB", "printed"),
        ("smallest heap, as flashed, whole run", _smallest_kb(), "kB", "<= 64"),
        ("worst tick lateness: flash, full USB, panel", late_ms, "ms", "<= 250"),
    ]


@contextmanager
def _fresh(timing: Timing, size: str = HEAP, **pins: object) -> Iterator[LockstepController]:
    fitted = pins or PINS
    with tempfile.TemporaryDirectory() as folder:
        root = put_firmware(Path(folder), **fitted)
        with LockstepController(ChipSetup(root, size), kettle(**fitted), timing) as controller:
            yield controller


def _run(controller: LockstepController) -> Iterator[list]:
    plan = track_plan(150.0, 100)
    run = target(controller)
    run.put(plan)
    run.ask("arm", read(plan).id)
    run.ask("start")
    yield from run.lines()


def _ratio() -> float:
    with _fresh(Timing()) as controller:
        lines = _run(controller)
        next(lines)
        began_s, started_s = time.perf_counter(), controller.workshop.time_s
        for _ in lines:
            pass
        return (controller.workshop.time_s - started_s) / (time.perf_counter() - began_s)


def _memory() -> float:
    with _fresh(Timing(reports_memory=True)) as controller:
        for _ in _run(controller):
            pass
        return controller.server.lowest_free or 0.0


def _smallest_kb() -> float:
    """To 2 kB, of a 32-bit chip's words: from boot.py to a whole run with its link."""
    return next(kb for kb in range(60, KB + 1, 2) if _runs_in(kb))


def _runs_in(kb: int) -> bool:
    try:
        with _fresh(Timing(), heap(kb * 1024 // 4)) as controller:
            return sum(1 for _ in _run(controller)) > 500
    except (Gone, HeatwrightError):
        return False


def _worst_late_ms() -> float:
    """From one reading of the sensor to the next, beyond a tick, with a host that reads nothing."""
    with _fresh(HARD, **PANEL) as controller:
        next(_run(controller))
        controller.takes_output = False
        end_s, read_us = controller.workshop.time_s + RUN_S, []
        while controller.workshop.time_s < end_s:
            frame = controller.step()
            if frame.kind is Kind.SPI:
                read_us.append(frame.now_us)
        assert len(controller.workshop.screen) > 100
        return max(b - a for a, b in pairwise(read_us)) / 1000 - TICK_MS
