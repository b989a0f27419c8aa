"""Compiles the firmware as it goes on a chip and runs `whole_run.py` in a chip's heap."""

import contextlib
import io
import json
import os
import shutil
import struct
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import Any

from mpremote.romfs import make_romfs
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
# The same with the packages in a read-only file system whose code is run where it lies, as from a
# chip's mapped flash. Here it lies on the heap, which gets so much more.
IMAGE = "packages.romfs"
LAUNCH_IN_PLACE = """import gc
gc.threshold(4096)
import sys, vfs
with open("{image}", "rb") as file:
    data = file.read()
vfs.mount(vfs.VfsRom(memoryview(data)), "/rom")
sys.path.insert(0, "/rom")
gc.collect()
import whole_run
"""

# kB of a 32-bit chip's heap are counted in words, and this port's are wider. What the simulated
# modules take is no business of the firmware's.
WORD_BYTES = struct.calcsize("P")
CHIP_KB = 128
IMAGE_HEAD_BYTES = 64
# The bar is 64. A whole plan and arming again take this much today (docs/decisions/heap.md), with
# room for the length of a test's own paths.
GUARD_KB = 79
# The bar, met where a chip's image has room for a ROMFS.
IN_PLACE_KB = 64


def heap(chip_kb: float, beside: int = 0) -> str:
    """The size to ask for, so that the firmware has what a chip with this heap gives it.

    ``beside``: bytes on the heap here that are not on a chip's.
    """
    return str(int(chip_kb * 1024 / 4 * WORD_BYTES) + SHADOW_BYTES + beside)


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


def put_in_place(compiled: Path, folder: Path) -> int:
    """The packages of `compile_firmware` as one image in another folder, and what runs from it."""
    with tempfile.TemporaryDirectory() as packages, contextlib.redirect_stdout(io.StringIO()):
        for name in image.PACKAGES:
            shutil.copytree(compiled / name, Path(packages) / name)
        data: bytes = make_romfs(f"{packages}/", mpy_cross=None)
    (folder / IMAGE).write_bytes(data)
    shutil.copy(compiled / RUN.replace(".py", ".mpy"), folder)
    (folder / "launch.py").write_text(LAUNCH_IN_PLACE.format(image=folder / IMAGE))
    return len(data)


def run_whole(
    compiled: Path, plan: bytes, chip_kb: float = CHIP_KB, *fitted: str
) -> dict[str, Any]:
    """What `whole_run.py` printed. Raises RuntimeError with its output where it failed.

    ``compiled`` is a folder of `compile_firmware`, or of `put_in_place`.
    """
    in_place = compiled / IMAGE
    beside = in_place.stat().st_size + IMAGE_HEAD_BYTES if in_place.exists() else 0
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / "config.json").write_text('{"outputs": "ssr"}')
        (Path(folder) / "plans").mkdir()
        (Path(folder) / "plans" / PLAN_ID).write_bytes(plan)
        command = [
            BIN / "micropython",
            "-X",
            f"heapsize={heap(chip_kb, beside)}",
            compiled / "launch.py",
        ]
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
