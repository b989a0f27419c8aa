"""Runs a folder's tests under the real MicroPython, on the shadow chip, and holds it to all."""

from __future__ import annotations

import ast
import json
import os
import subprocess
import sys
from collections.abc import Iterable
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
MICROPYTHON = Path(sys.executable).parent / "micropython"
SHADOW = ROOT / "sim" / "heatsim" / "virtual" / "shadow"
FAKES = ROOT / "tests" / "firmware" / "fakes"


def folders_of(here: Path) -> tuple[Path, ...]:
    """The firmware, the shadow chip, the fakes and this folder."""
    return (ROOT / "firmware", SHADOW, FAKES, here)


def micropython(folders: Iterable[Path], *arguments: object) -> subprocess.CompletedProcess[str]:
    """MicroPython with these folders on its path, and with room enough."""
    path = ":".join([*map(str, folders), ".frozen"])
    return subprocess.run(
        [MICROPYTHON, "-X", "heapsize=4096wK", *map(str, arguments)],
        env={**os.environ, "MICROPYPATH": path},
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )


def written(here: Path, module: str) -> set[str]:
    """Names of the test functions in a file, read without importing it."""
    tree = ast.parse((here / f"{module}.py").read_text())
    names = [node.name for node in tree.body if isinstance(node, ast.FunctionDef)]
    return {f"{module}.{name}" for name in names if name.startswith("test_")}


def check_same_tests(here: Path, module: str, copy: Path | None = None) -> None:
    """Every test of this file passes there too, and none is left out.

    ``copy``: a folder with firmware, fakes and tests in it, to be run in place of the originals.
    """
    folders = (copy, SHADOW) if copy else folders_of(here)
    done = micropython(folders, (copy or FAKES) / "run_tests.py", module)
    assert done.returncode == 0, done.stdout + done.stderr
    result = json.loads(done.stdout.splitlines()[-1])
    assert result["failed"] == {}
    assert set(result["passed"]) == written(here, module)
    assert result["passed"]
