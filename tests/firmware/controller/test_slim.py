"""What flash leaves out of the sources changes nothing that they do."""

import ast
import shutil
from pathlib import Path

import pytest
from test_on_micropython import MODULES

from heatwright.commissioning.slim import slim
from on_micropython import ROOT, SHADOW, check_same_tests, folders_of

HERE = Path(__file__).resolve().parent

LIMITS = b"""SECOND = 4
LOW_MC = -20 * 1_000  # why
NONE = -(1 << 29)
A, B = 1, 2
TEXTS = ("one", "two")
NAMES = {1: "one", 2: "two"}
"""
USER = b"""from pack.limits import (
    LOW_MC,
    NONE,
    TEXTS,
)
from pack.thing import Thing
from . import limits

HALF = limits.SECOND // 2


def f(x: int, things: "list[Thing]", low: int = LOW_MC) -> int | None:
    y: int = x - LOW_MC if x != NONE else HALF
    a, b, c = x, y, TEXTS[limits.A]
    return a
"""
SHORT = b"""from pack.limits import TEXTS



def f(x, things, low = -20000):
    y = x - -20000 if x != -536870912 else 2
    a, b, c = x, y, TEXTS[1]
    return a
"""


def made(**sources):
    found = {f"pack/{name}.py": text for name, text in sources.items()}
    return slim({"pack/__init__.py": b"", "pack/thing.py": b"class Thing: pass\n", **found})


def test_constants_imports_and_annotations_are_gone_and_the_rest_stands():
    files = made(limits=LIMITS, user=USER)
    lines = files["pack/user.py"].split(b"\n")
    assert len(lines) == len(USER.split(b"\n"))
    assert [line for line in lines if line] == [line for line in SHORT.split(b"\n") if line]
    assert files["pack/limits.py"].split() == [b"#", b"why", *LIMITS.split(b"\n")[4].split()]


def test_what_is_set_twice_or_is_no_whole_number_is_no_constant():
    text = b"N = 1\nN = 2\nR = 0.5\nT = True\nlow = 3\nprint(N, R, T, low)\n"
    assert made(user=text)["pack/user.py"] == text


def test_a_name_brought_for_others_stays():
    text = b"from pack.thing import Thing as Thing\n"
    assert made(user=text)["pack/user.py"] == text


def test_the_wiring_keeps_its_names():
    path = "heatcontroller/wiring.py"
    text = (ROOT / "firmware" / path).read_bytes()
    pins = {node.targets[0].id for node in ast.parse(text).body if isinstance(node, ast.Assign)}
    done = slim({path: text})[path]
    assert len(pins) > 20
    assert pins == {n.targets[0].id for n in ast.parse(done).body if isinstance(n, ast.Assign)}


def slimmed(folder):
    """Firmware, fakes and tests, each where it was, all without what flash leaves out."""
    for kept in folders_of(HERE):
        if kept != SHADOW:
            paths = [path for path in kept.rglob("*.py") if kept != HERE or path.stem in MODULES]
            for path in paths:
                copied = folder / path.relative_to(kept)
                copied.parent.mkdir(parents=True, exist_ok=True)
                shutil.copy(path, copied)
    sources = {path.relative_to(folder).as_posix(): path for path in folder.rglob("*.py")}
    for name, text in slim({name: path.read_bytes() for name, path in sources.items()}).items():
        sources[name].write_bytes(text)


@pytest.fixture(scope="module")
def as_on_a_chip(tmp_path_factory):
    folder = tmp_path_factory.mktemp("slim")
    slimmed(folder)
    return folder


@pytest.mark.parametrize("module", MODULES)
def test_the_controllers_tests_pass_on_what_goes_on_a_chip(module, as_on_a_chip):
    check_same_tests(HERE, module, as_on_a_chip)
