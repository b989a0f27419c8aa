"""Which pin does what: read from the text of wiring.py, which is never imported here."""

from __future__ import annotations

import ast
from importlib.util import find_spec
from pathlib import Path
from typing import Any


def read_pins(text: str) -> dict[str, Any]:
    """The constants at the top level of a wiring file: `SSR_PIN`, `STOP_PIN` and so on.

    Raises SyntaxError where the text is no Python.
    """
    found: dict[str, Any] = {}
    for statement in ast.parse(text).body:
        if isinstance(statement, ast.Assign) and isinstance(statement.targets[0], ast.Name):
            found |= _literal(statement.targets[0].id, statement.value)
    return found


def _literal(name: str, node: ast.expr) -> dict[str, Any]:
    try:
        return {name: ast.literal_eval(node)}
    except ValueError:
        return {}


def shipped_pins() -> dict[str, Any]:
    """The pins of the wiring file that Heatwright ships.

    Raises FileNotFoundError where the firmware is not installed.
    """
    spec = find_spec("heatcontroller")
    if spec is None or not spec.submodule_search_locations:
        raise FileNotFoundError("the firmware package heatcontroller is not installed")
    return read_pins((Path(spec.submodule_search_locations[0]) / "wiring.py").read_text())
