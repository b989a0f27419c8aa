"""One value of a document as a field's text, and back. What can't be read stays text."""

from __future__ import annotations

import datetime as dt
import re
import tomllib
from collections.abc import Callable, Sequence
from typing import Any

import tomlkit

from heatwright.documents.expectations import Node

NUMBER = re.compile(r"[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?")
YES, NO = "true", "false"


def kind_of(node: Node) -> str:
    """Which kind of field a value of this schema is asked for with."""
    if "prefixItems" in node:
        return "window"
    if "enum" in node:
        return "choice"
    if node.get("type") == "array":
        return _kind_of_list(node.get("items", {}))
    if node.get("format") in ("date", "date-time"):
        return str(node["format"])
    return {"boolean": "yes_no", "number": "number", "integer": "integer"}.get(
        node.get("type", ""), "text"
    )


def _kind_of_list(items: Node) -> str:
    if "enum" in items:
        return "several"
    return "list" if items.get("type") == "string" else "toml"


def texts_of(kind: str, value: Any) -> list[str]:
    """The texts of a field that show this raw value: two for a window, any number for several."""
    if kind == "window" and isinstance(value, list) and len(value) == 2:
        return [_text(one) for one in value]
    if kind == "several" and isinstance(value, list):
        return [_text(one) for one in value]
    if kind == "list" and isinstance(value, list):
        return [", ".join(map(_text, value))]
    return [_text(value)]


def _text(value: Any) -> str:
    if isinstance(value, str):
        return value
    return str(tomlkit.item(value).as_string()).strip()


def value_of(kind: str, texts: Sequence[str]) -> Any:
    """The raw value that these texts stand for; None where nothing was written."""
    written = [text.strip() for text in texts]
    if not any(written):
        return None
    if kind == "window":
        return [_number(text) for text in written if text]
    if kind == "several":
        return [text for text in written if text]
    read = _READ.get(kind)
    return read(written[0]) if read else written[0].replace("\r\n", "\n")


def _number(text: str) -> float | str:
    return float(text) if NUMBER.fullmatch(text) else text


def _integer(text: str) -> int | float | str:
    return int(text) if re.fullmatch(r"[+-]?\d+", text) else _number(text)


def _yes_no(text: str) -> bool | str:
    return text == YES if text in (YES, NO) else text


def _list(text: str) -> list[str] | None:
    return [one.strip() for one in text.split(",") if one.strip()] or None


def _date(text: str) -> dt.date | str:
    try:
        return dt.date.fromisoformat(text)
    except ValueError:
        return text


def _moment(text: str) -> dt.date | dt.datetime | str:
    day = _date(text)
    try:
        return dt.datetime.fromisoformat(text) if isinstance(day, str) else day
    except ValueError:
        return text


def _toml(text: str) -> Any:
    try:
        return tomllib.loads(f"value = {text}")["value"]
    except tomllib.TOMLDecodeError:
        return text


_READ: dict[str, Callable[[str], Any]] = {
    "number": _number,
    "integer": _integer,
    "yes_no": _yes_no,
    "list": _list,
    "date": _date,
    "date-time": _moment,
    "toml": _toml,
}
