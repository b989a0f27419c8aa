"""The three interpreters that the core must agree on."""

import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[3]
BIN = ROOT / ".venv" / "bin"
FIRMWARE = ROOT / "firmware"
SUITE = ROOT / "tests" / "core"
MICROPYTHON_MODULE = (
    ROOT / ".venv/npm/node_modules/@micropython/micropython-webassembly-pyscript/micropython.mjs"
)
NAMES = ("cpython", "micropython", "wasm")


def command(interpreter: str, script: str) -> list[str]:
    """What to start to run a file of the core's suite."""
    if interpreter == "cpython":
        return [sys.executable, str(SUITE / script)]
    if interpreter == "micropython":
        return [str(BIN / "micropython"), str(SUITE / script)]
    bridge = str(Path(__file__).with_name("wasm.mjs"))
    mounts = [f"{FIRMWARE / 'heatcore'}=/app/heatcore", f"{SUITE}=/app/core"]
    return [str(BIN / "node"), bridge, str(MICROPYTHON_MODULE), f"/app/core/{script}", *mounts]


def environment(*first: Path) -> dict[str, str]:
    """Search path for both CPython and MicroPython; folders in `first` go before the rest."""
    folders = [*map(str, first), str(FIRMWARE), str(SUITE.parent)]
    return {
        **os.environ,
        "PYTHONPATH": os.pathsep.join(folders),
        "MICROPYPATH": os.pathsep.join([*folders, ".frozen"]),
    }


def run(interpreter: str, script: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        command(interpreter, script),
        capture_output=True,
        text=True,
        check=False,
        env=environment(),
        timeout=120,
    )
