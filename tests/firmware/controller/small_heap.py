"""Compiles the firmware as it goes on a chip and runs `whole_run.py` in a chip's heap."""

import json
import os
import struct
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import Any

from workbench import PLAN_ID

from heatsim.virtual import shadow_files
from heatsim.virtual.chip import SHADOW_BYTES
from heatwright.commissioning import image
from heatwright.commissioning.slim import slim

HERE = Path(__file__).resolve().parent
ROOT = HERE.parents[2]
BIN = Path(sys.executable).parent
FIRMWARE = ROOT / "firmware"
RUN = "whole_run.py"
LAUNCH = "import gc\ngc.threshold(4096)  # as main.py does\nimport whole_run\n"

# kB of a 32-bit chip's heap are counted in words, and this port's are wider. What the simulated
# modules take is no business of the firmware's.
WORD_BYTES = struct.calcsize("P")
CHIP_KB = 128
# The bar is 64. A whole plan and arming again take this much today (docs/decisions/heap.md), with
# room for the length of a test's own paths.
GUARD_KB = 76


def heap(chip_kb: float) -> str:
    """The size to ask for, so that the firmware has what a chip with this heap gives it."""
    return str(int(chip_kb * 1024 / 4 * WORD_BYTES) + SHADOW_BYTES)


def compile_firmware(folder: Path) -> int:
    """Every module of both packages as flash makes it, and the run; returns the modules' bytes."""
    found = [path for name in image.PACKAGES for path in sorted((FIRMWARE / name).rglob("*.py"))]
    sources = {path.relative_to(FIRMWARE).as_posix(): path.read_bytes() for path in found}
    sources[RUN] = (HERE / RUN).read_bytes()
    files = image.compiled(slim(sources))
    for path, data in files.items():
        (folder / path).parent.mkdir(parents=True, exist_ok=True)
        (folder / path).write_bytes(data)
    (folder / "launch.py").write_text(LAUNCH)
    return sum(len(data) for path, data in files.items() if "/" in path)


def run_whole(
    compiled: Path, plan: bytes, chip_kb: float = CHIP_KB, *fitted: str
) -> dict[str, Any]:
    """What `whole_run.py` printed. Raises RuntimeError with its output where it failed."""
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / "config.json").write_text('{"outputs": "ssr"}')
        (Path(folder) / "plans").mkdir()
        (Path(folder) / "plans" / PLAN_ID).write_bytes(plan)
        command = [BIN / "micropython", "-X", f"heapsize={heap(chip_kb)}", compiled / "launch.py"]
        done = subprocess.run(
            [*command, f"{folder}/", *fitted],
            env={**os.environ, "MICROPYPATH": f"{compiled}:{shadow_files.compiled()}:.frozen"},
            capture_output=True,
            text=True,
            timeout=120,
            check=False,
        )
    if done.returncode:
        raise RuntimeError(done.stdout + done.stderr)
    found: dict[str, Any] = json.loads(done.stdout.splitlines()[-1])
    return found
