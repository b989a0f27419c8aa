"""The same driver tests under the real MicroPython, and what only it can show."""

from pathlib import Path

import pytest

from on_micropython import check_same_tests, folders_of, micropython

HERE = Path(__file__).resolve().parent

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


@pytest.mark.parametrize("module", MODULES)
def test_the_same_tests_pass_on_micropython(module):
    check_same_tests(HERE, module)


def test_importing_the_wiring_touches_no_pin_and_loads_no_driver():
    done = micropython(
        folders_of(HERE),
        "-c",
        "import sys, bench, heatcontroller.wiring\n"
        "print(bench.driven, [n for n in sys.modules if 'drivers' in n])",
    )
    assert done.stdout.strip() == "[] []", done.stderr
