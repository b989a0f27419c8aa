"""The same driver tests under the real MicroPython, and what only it can show."""

import ast
import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

HERE = Path(__file__).resolve().parent
ROOT = HERE.parents[2]
MICROPYTHON = Path(sys.executable).parent / "micropython"
SHADOW = ROOT / "sim" / "heatsim" / "virtual" / "shadow"
FOLDERS = (ROOT / "firmware", SHADOW, HERE.parent / "fakes", HERE)

MODULES = (
    "test_words",
    "test_platinum",
    "test_sensors",
    "test_outputs",
    "test_contacts",
    "test_wiring",
    "test_allocation",
    "test_screens",
    "chip_panel",
    "chip_wiring",
)


def micropython(*arguments, heap="4096wK"):
    path = ":".join([*map(str, FOLDERS), ".frozen"])
    return subprocess.run(
        [MICROPYTHON, "-X", f"heapsize={heap}", *map(str, arguments)],
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


def test_importing_the_wiring_touches_no_pin_and_loads_no_driver():
    done = micropython(
        "-c",
        "import sys, bench, heatcontroller.wiring\n"
        "print(bench.driven, [n for n in sys.modules if 'drivers' in n])",
    )
    assert done.stdout.strip() == "[] []", done.stderr
