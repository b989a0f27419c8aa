"""What the core may import: itself, array, and json and binascii in two files alone."""

import ast

import pytest

from firmware.core import interpreters

CORE = sorted((interpreters.FIRMWARE / "heatcore").glob("*.py"))
TEXT = {"plan.py", "line.py"}
# No fraction and no text is made in a tick: these files hold everything that tick() runs.
TICKED = (
    "burst", "cutoff", "door", "drift", "fall", "heat_rules", "interlock", "loop", "numbers",
    "patience", "pid", "reading", "reference", "residual", "scene", "scheduler", "sensor_rules",
    "thermocouple", "watch",
)  # fmt: skip


def tree(path):
    return ast.parse(path.read_text())


def imported(path):
    for node in ast.walk(tree(path)):
        if isinstance(node, ast.Import):
            yield from (alias.name.split(".")[0] for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0
            yield node.module.split(".")[0]


@pytest.mark.parametrize("path", CORE, ids=lambda path: path.name)
def test_imports(path):
    allowed = {"heatcore", "array", "micropython"}
    if path.name in TEXT:
        allowed |= {"json", "binascii"}
    assert set(imported(path)) <= allowed


def test_the_cutoff_imports_nothing():
    assert list(imported(interpreters.FIRMWARE / "heatcore" / "cutoff.py")) == []


@pytest.mark.parametrize("path", CORE, ids=lambda path: path.name)
def test_no_fraction(path):
    for node in ast.walk(tree(path)):
        assert not isinstance(node, ast.Div)
        assert not (isinstance(node, ast.Constant) and isinstance(node.value, float | complex))
        assert not (isinstance(node, ast.Name) and node.id in {"float", "round", "divmod", "pow"})


@pytest.mark.parametrize("module", TICKED)
def test_no_text_in_what_a_tick_runs(module):
    """Nor lists, dicts, sets, generators or closures, all of which take memory."""
    path = interpreters.FIRMWARE / "heatcore" / f"{module}.py"
    made = (
        ast.JoinedStr, ast.List, ast.Dict, ast.Set, ast.ListComp, ast.DictComp, ast.SetComp,
        ast.GeneratorExp, ast.Lambda, ast.Yield, ast.Starred,
    )  # fmt: skip
    for node in ast.walk(tree(path)):
        assert not isinstance(node, made), f"{path.name}:{node.lineno}"
