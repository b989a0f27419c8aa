"""Virtual controllers for tests: the firmware as it is flashed, on a small plant."""

from __future__ import annotations

import json
import threading
from functools import cache
from pathlib import Path
from typing import Any

from heatcore import plan as core
from heatsim.sensor import Sensor
from heatsim.virtual.board import VirtualBoard
from heatsim.virtual.chip import ChipSetup
from heatsim.virtual.kettle import KettlePlant
from heatsim.virtual.lockstep import LockstepController, LockstepPort
from heatsim.virtual.pins import shipped_pins
from heatsim.virtual.serving import Timing
from heatsim.virtual.workshop import Workshop
from heatwright.commissioning import image
from heatwright.planning.plan_file import with_id
from heatwright.running.link_client import LinkClient, SerialTarget

PINS = {"DOOR_SWITCH_PIN": 10}


@cache
def firmware(**pins: Any) -> image.Files:
    """The files of a controller with these pins; compiled once."""
    return image.build(dict(pins), "rp2")


def put_firmware(root: Path, outputs: str = "ssr", **pins: Any) -> Path:
    """A chip's file system, as after a flash."""
    files = {**firmware(**(pins or PINS)), image.CONFIG: json.dumps({"outputs": outputs}).encode()}
    for path, data in files.items():
        (root / path).parent.mkdir(parents=True, exist_ok=True)
        (root / path).write_bytes(data)
    return root


def kettle(**pins: Any) -> Workshop:
    """A workshop with the small plant, wired as `PINS` unless told otherwise."""
    sensor = Sensor(noise_k=0.15, seed=1)
    return Workshop(KettlePlant(), shipped_pins() | (pins or PINS), sensor=sensor)


def lockstep(root: Path, timing: Timing | None = None, **setup: Any) -> LockstepController:
    """A flashed controller in virtual time."""
    return LockstepController(ChipSetup(put_firmware(root), **setup), kettle(), timing)


def target(controller: LockstepController) -> SerialTarget:
    """A run's target on it."""
    client = LinkClient(LockstepPort(controller), "virtual", lambda: controller.workshop.time_s)
    client.await_hello(10.0)
    return SerialTarget(client)


def track_plan(peak_c: float = 150.0, hold_s: int = 60) -> bytes:
    """A plan that the small plant can follow: up at 1 K/s, a hold, and down."""
    up_s = round(peak_c - 25.0)
    end_s = up_s + hold_s + 60
    knots = sorted({*range(0, end_s, 5 if end_s < 500 else 10), up_s, up_s + hold_s, end_s})
    line_c = [_line(t, peak_c, up_s, hold_s) for t in knots]
    doc = {
        "plan": 1,
        "name": "kettle",
        "law": "track",
        "tick_ms": 250,
        "t_ms": [t * 1000 for t in knots],
        "y_mc": [round(c * 1000) for c in line_c],
        "u": [_duty(t, c, up_s, hold_s) for t, c in zip(knots, line_c, strict=True)],
        "b_mc": [round(c * 1000) for c in line_c],
        "gains": [[0, 2560, 17, 0, 7, 0]],
        "stages": [[0, "preheat"], [up_s * 1000, "reflow"], [(up_s + hold_s) * 1000, "ramp_down"]],
        "waits": [],
        "stretch_ms": 0,
        "limits": {
            "sensor_max_mc": round(peak_c + 40) * 1000,
            "board_max_mc": round(peak_c + 40) * 1000,
            "run_max_ms": (end_s + 60) * 1000,
            "rise_max_mk_s": 5000,
        },
        "deviation": [],
        "start": {"sensor_min_mc": 10_000, "sensor_max_mc": 60_000, "rest_min_s": 0},
        "door_cue_ms": core.NO_CUE,
        "host_lost": "continue",
    }
    return with_id(doc)


def _line(time_s: int, peak_c: float, up_s: int, hold_s: int) -> float:
    fallen_s = max(0, time_s - up_s - hold_s)
    return min(25.0 + time_s, peak_c) - 0.3 * fallen_s


def _duty(time_s: int, at_c: float, up_s: int, hold_s: int) -> int:
    rate_k_s = 1.0 if time_s < up_s else 0.0 if time_s < up_s + hold_s else -1.0
    return min(max(round((rate_k_s + 0.003 * (at_c - 25.0)) / 1.4 * 10_000), 0), 9800)


class ServedBoard:
    """A virtual board served by a thread of its own. A context."""

    def __init__(self, root: Path, workshop: Workshop | None = None, speed: float | None = 20.0):
        self.workshop = workshop or kettle()
        self.board = VirtualBoard(ChipSetup(root), self.workshop, speed)
        self._thread = threading.Thread(target=self.board.serve, daemon=True)

    @property
    def port(self) -> str:
        return self.board.port

    def __enter__(self) -> ServedBoard:
        self._thread.start()
        return self

    def __exit__(self, *exc: object) -> None:
        self.board.stop()
        self._thread.join(10)
        self.board.close()
