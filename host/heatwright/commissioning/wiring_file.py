"""Rewrites the pin constants of wiring.py from a person's own TOML file, before it is compiled."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

from heatsim.virtual.pins import read_pins
from heatwright import assets, sentences
from heatwright.errors import BadInput, Fault

BEGIN, END = "# --- pins: begin", "# --- pins: end"
NOT_FITTED = "none"

Values = dict[str, Any]


def shipped_wiring() -> str:
    """The text of the wiring file that Heatwright ships."""
    return (assets.firmware_package("heatcontroller") / "wiring.py").read_text(encoding="utf-8")


def read_wiring(path: Path, shipped: str) -> Values:
    """The constants of a wiring file (`ssr_pin = 15`, `door_pin = "none"`), by their own names.

    Raises `BadInput` with every fault of the file.
    """
    try:
        given = tomllib.loads(path.read_text(encoding="utf-8"))
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        raise BadInput(Fault(sentences.WIRING_UNREADABLE, str(path), str(error))) from error
    known = read_pins(shipped)
    values = {key.upper(): _value(value) for key, value in given.items()}
    faults = [fault for key in given for fault in _faults(path, key, values, known)]
    if faults:
        raise BadInput(*faults)
    return values


def _value(value: Any) -> Any:
    if value == NOT_FITTED:
        return None
    return tuple(value) if isinstance(value, list) else value


def _faults(path: Path, key: str, values: Values, known: Values) -> list[Fault]:
    if key.upper() not in known:
        expected = ", ".join(name.lower() for name in known)
        return [Fault(sentences.UNKNOWN_KEY, f"{path}: {key}", expected=expected)]
    value = values[key.upper()]
    if _fits(key.upper(), value):
        return []
    expected = sentences.PIN_EXPECTED if key.upper().endswith(("_PIN", "_PINS")) else "a number"
    return [Fault(sentences.WRONG_VALUE, f"{path}: {key}", repr(value), expected)]


def _fits(name: str, value: Any) -> bool:
    if name.endswith("_PINS"):
        return value is None or (
            isinstance(value, tuple) and len(value) == 3 and all(_is_pin(pin) for pin in value)
        )
    if name.endswith("_PIN"):
        return value is None or _is_pin(value)
    return isinstance(value, int | str)


def _is_pin(value: Any) -> bool:
    return type(value) is int and 0 <= value <= 48


def rewritten(shipped: str, values: Values) -> str:
    """The wiring file's text with these constants in place of the shipped ones."""
    head, begin, rest = shipped.partition(BEGIN)
    block, end, tail = rest.partition(END)
    lines = [_line(line, values) for line in block.split("\n")]
    return head + begin + "\n".join(lines) + end + tail


def _line(line: str, values: Values) -> str:
    name = line.partition(" = ")[0]
    return f"{name} = {values[name]!r}" if name in values else line
