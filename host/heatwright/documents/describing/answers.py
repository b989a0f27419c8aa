"""Reads what is typed for one key: type, unit and range come from the document's own schema."""

from __future__ import annotations

import datetime as dt
import re
from typing import Any

from heatwright import sentences
from heatwright.documents import unit_guess
from heatwright.documents.base import Document
from heatwright.documents.expectations import Node, bounds, in_words, node_at

_NUMBER = re.compile(r"[-+]?\d+(?:[.,]\d+)?")
# between the two ends of a window: a dash, "to", dots or a space; a minus sign is not a dash
_RANGE = re.compile(r"(?<=\d)\s*(?:\.\.|…|–|-|to|bis|\s)\s*(?=[-+]?\d)")
YES, NO = ("y", "yes", "true", "1"), ("n", "no", "false", "0")


class NotAnAnswer(ValueError):
    """What was typed can't be read; the text says what would be right."""


def expected(model: type[Document], key: str) -> str:
    """What may be typed for a key, in words: ``a number from 60 to 330, °C``."""
    node = node_at(model, path_of(key))
    if node.get("type") == "boolean":
        return sentences.YES_OR_NO
    if node.get("type") == "array" and "prefixItems" not in node:
        return sentences.ANY_OF.format(choices=", ".join(_choices(node["items"], model)))
    if "enum" in node:
        return sentences.ONE_OF.format(choices=", ".join(node["enum"]))
    words = in_words(node).replace("[low, high], each", sentences.LOW_TO_HIGH)
    words = words.replace(" in quotes", "").replace(", without quotes", "")
    unit = unit_guess.unit_of(key)
    return f"{words}, {unit}" if unit else words


def path_of(key: str) -> tuple[str, ...]:
    return tuple(key.split("."))


def read(model: type[Document], key: str, text: str) -> Any:
    """The value that a typed answer stands for. Raises `NotAnAnswer`."""
    node = node_at(model, path_of(key))
    try:
        value = _read(model, node, text.strip())
    except ValueError as error:
        raise _refused(model, key, text) from error
    _in_range(model, key, node, value)
    return value


def _read(model: type[Document], node: Node, text: str) -> Any:
    if "prefixItems" in node:
        return _window(text)
    if "enum" in node:
        return _choice(text, node["enum"])
    if node.get("format") in ("date", "date-time"):
        return _date(text, node["format"])
    match node.get("type"):
        case "number":
            return _number(text)
        case "integer":
            return int(text)
        case "boolean":
            return _truth(text)
        case "array":
            return _several(model, node, text)
    if not text:
        raise ValueError(text)
    return text


def _number(text: str) -> float:
    """A number alone or with its own unit after it; a comma may stand for the point."""
    found = re.fullmatch(rf"({_NUMBER.pattern})\s*[^\d\s]*", text)
    if found is None:
        raise ValueError(text)
    return float(found[1].replace(",", "."))


def _window(text: str) -> tuple[float, float]:
    bare = re.sub(r"\s*(?:°C(?:/s)?|[sSK])\s*$", "", text.strip(" []").replace(", ", " to "))
    ends = _RANGE.split(bare, maxsplit=1)
    if len(ends) != 2:
        raise ValueError(text)
    return _number(ends[0]), _number(ends[1])


def _choice(text: str, choices: list[str]) -> str:
    """One of the choices, in any case; a beginning that fits one alone is enough."""
    plain = text.casefold().replace(" ", "_")
    if plain in choices:
        return plain
    fits = [choice for choice in choices if plain and choice.startswith(plain)]
    if len(fits) != 1:
        raise ValueError(text)
    return fits[0]


def _date(text: str, kind: str) -> dt.date:
    if kind == "date":
        return dt.date.fromisoformat(text)
    return dt.datetime.fromisoformat(text)


def _truth(text: str) -> bool:
    if text.casefold() not in (*YES, *NO):
        raise ValueError(text)
    return text.casefold() in YES


def _several(model: type[Document], node: Node, text: str) -> list[str]:
    if text.casefold() in ("", "none", "-"):
        return []
    choices = _choices(node["items"], model)
    return [_choice(one.strip(), choices) if choices else one.strip() for one in text.split(",")]


def _choices(items: Node, model: type[Document]) -> list[str]:
    found: list[str] = items.get("enum", [])
    return found


def _in_range(model: type[Document], key: str, node: Node, value: Any) -> None:
    limits = bounds(node)
    numbers = list(value) if isinstance(value, tuple) else [value]
    if limits is None or not all(isinstance(one, int | float) for one in numbers):
        return
    low, high = limits
    opens = "exclusiveMinimum" in node
    if all(low <= one <= high and not (opens and one == low) for one in numbers):
        return
    right = sentences.NOT_IN_RANGE.format(expected=expected(model, key))
    guess = unit_guess.guess(key, numbers, low, high)
    raise NotAnAnswer(f"{right} {guess}".rstrip())


def _refused(model: type[Document], key: str, text: str) -> NotAnAnswer:
    return NotAnAnswer(sentences.NOT_READ.format(text=text, expected=expected(model, key)))
