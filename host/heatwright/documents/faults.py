"""Turns what pydantic found into faults a person can act on: found, expected, cure."""

from __future__ import annotations

import datetime as dt
import difflib
import json
import re
from collections.abc import Iterable, Mapping
from typing import Any, NamedTuple

from pydantic_core import ErrorDetails

from heatwright import sentences
from heatwright.documents import unit_guess
from heatwright.documents.base import Clash, Document, KeyPath, is_number
from heatwright.documents.expectations import bounds, in_words, keys_of, node_at, tables_with

_NUMBER_IN_TEXT = re.compile(r"\s*(-?\d+(?:[.,]\d+)?)\s*(.*)")


class Context(NamedTuple):
    """The document being read; ``misnamed`` gathers keys that are there under another name."""

    model: type[Document]
    data: Mapping[str, Any]
    misnamed: set[KeyPath]


def explain(context: Context, errors: Iterable[ErrorDetails]) -> list[Clash]:
    """One clash per wrong thing; a key that was only misnamed is not reported as missing too."""
    ordered = sorted(errors, key=lambda error: error["type"] != "extra_forbidden")
    found = [_explain(context, error) for error in ordered]
    # both ends of a window may be wrong: that is one fault
    return list(dict.fromkeys(clash for clash in found if clash))


def _explain(context: Context, error: ErrorDetails) -> Clash | None:
    kind, path = error["type"], error["loc"]
    if kind == "extra_forbidden":
        return _unknown(context, path)
    if kind == "missing" and isinstance(path[-1], str):
        return None if path in context.misnamed else _missing(context, path)
    # clashes come from the raw data, with their places
    return None if kind == "clash" else _wrong(context, path, error)


def shown(value: Any) -> str:
    """A value as it stands in TOML, shortened."""
    text = _toml(value)
    return text if len(text) <= 60 else f"{text[:57]}..."


def _toml(value: Any) -> str:
    if isinstance(value, list):
        return f"[{', '.join(map(_toml, value))}]"
    if isinstance(value, float | dt.date | dt.time):
        return str(value)
    return json.dumps(value, ensure_ascii=False, default=str)


def _unknown(context: Context, path: KeyPath) -> Clash:
    key, table = str(path[-1]), path[:-1]
    value = _at(context.data, path)
    right, what, cure = _rename(context, table, key, value)
    context.misnamed.update((*table, name) for name in right)
    expected = " or ".join(right) or ", ".join(keys_of(node_at(context.model, table)))
    found = f"[{key}]" if isinstance(value, Mapping) else f"{key} = {shown(value)}"
    return Clash(path, what, found, expected, cure)


def _rename(context: Context, table: KeyPath, key: str, value: Any) -> tuple[list[str], str, str]:
    """The keys that were probably meant, what is wrong, and what to do."""
    known = keys_of(node_at(context.model, table))
    if bare := [name for name in known if key + unit_guess.suffix_of(name) == name != key]:
        return bare, sentences.NO_UNIT, _with_units(context, table, bare, value)
    for name in known:
        if cure := _converted(key, value, name, node_at(context.model, (*table, name))):
            return [name], sentences.OTHER_UNIT, cure
    if close := difflib.get_close_matches(key.casefold(), known, n=1, cutoff=0.6):
        return close, sentences.UNKNOWN_KEY, sentences.DID_YOU_MEAN.format(name=close[0])
    return [], sentences.UNKNOWN_KEY, _elsewhere(context, key)


def _with_units(context: Context, table: KeyPath, names: list[str], value: Any) -> str:
    lines = " or ".join(
        f"{name} = {_fitting(node_at(context.model, (*table, name)), value)}"
        f" ({unit_guess.unit_of(name)})"
        for name in names
    )
    return sentences.WRITE_UNIT.format(lines=lines)


def _fitting(node: Mapping[str, Any], value: Any) -> str:
    return "[low, high]" if "prefixItems" in node and is_number(value) else shown(value)


def _converted(key: str, value: Any, name: str, node: Mapping[str, Any]) -> str:
    """How to write a value whose key carries another unit than ours."""
    suffix, limits = unit_guess.suffix_of(name), bounds(dict(node))
    numbers = value if isinstance(value, list) else [value]
    if not suffix or not limits or not all(map(is_number, numbers)):
        return ""
    for other in unit_guess.OTHERS[suffix]:
        right = [other.convert(number) for number in numbers]
        in_range = all(limits[0] <= number <= limits[1] for number in right)
        if key == name.removesuffix(suffix) + other.suffix and in_range:
            text = unit_guess.listed(right)
            unit = unit_guess.unit_of(name)
            return sentences.CONVERTED.format(unit=unit, key=name, value=text)
    return ""


def _elsewhere(context: Context, key: str) -> str:
    """Where a key belongs that stands in the wrong table; else where to read about all keys."""
    places = tables_with(context.model, key)
    if not places:
        return sentences.SEE_SCHEMA.format(kind=context.model.kind_of_document)
    table = places[0]
    context.misnamed.add((table, key) if table else (key,))
    sentence = sentences.IN_TABLE if table else sentences.AT_TOP
    return sentence.format(key=key, table=table)


def _missing(context: Context, path: KeyPath) -> Clash:
    node = node_at(context.model, path)
    what = sentences.MISSING_TABLE if node.get("type") == "object" else sentences.MISSING_KEY
    description = node.get("description", "")
    key = str(path[-1])
    cure = sentences.ADD_TABLE if node.get("type") == "object" else sentences.ADD_KEY
    return Clash(path, what, "", in_words(node), cure.format(key=key, meaning=description))


def _wrong(context: Context, path: KeyPath, error: ErrorDetails) -> Clash:
    if isinstance(path[-1], int) and "prefixItems" in node_at(context.model, path[:-1]):
        path = path[:-1]
    value, node = _at(context.data, path), node_at(context.model, path)
    what = _BY_TYPE.get(error["type"], sentences.WRONG_VALUE)
    return Clash(path, what, shown(value), in_words(node), _cure(context, path, value, node))


_BY_TYPE = {
    "literal_error": sentences.NOT_A_CHOICE,
    "finite_number": sentences.OUT_OF_RANGE,
    "greater_than": sentences.OUT_OF_RANGE,
    "greater_than_equal": sentences.OUT_OF_RANGE,
    "less_than": sentences.OUT_OF_RANGE,
    "less_than_equal": sentences.OUT_OF_RANGE,
}


def _cure(context: Context, path: KeyPath, value: Any, node: Mapping[str, Any]) -> str:
    key = next((step for step in reversed(path) if isinstance(step, str)), "")
    limits = bounds(dict(node))
    if limits and isinstance(value, str) and "prefixItems" not in node:
        return _cure_text(key, value) or _meaning(node)
    if close := _nearest_choice(str(value), node):
        return sentences.DID_YOU_MEAN.format(name=shown(close))
    if limits:
        return _cure_number(key, value, node, limits)
    if node.get("type") == "array" and not isinstance(value, list | Mapping):
        return sentences.WRITE_LIST.format(key=key, value=shown(value))
    return _meaning(node) or sentences.SEE_SCHEMA.format(kind=context.model.kind_of_document)


def _meaning(node: Mapping[str, Any]) -> str:
    what = node.get("description")
    return sentences.MEANING.format(meaning=what) if what else ""


def _cure_number(key: str, value: Any, node: Mapping[str, Any], limits: tuple[float, float]) -> str:
    numbers = value if isinstance(value, list) else [value]
    alone = [one for one in (_number_alone(key, each) for each in numbers) if one is not None]
    with_units = isinstance(value, list) and any(isinstance(one, str) for one in value)
    if with_units and len(alone) == len(numbers):
        return sentences.NUMBER_ALONE.format(key=key, value=unit_guess.listed(alone))
    are_numbers = all(map(is_number, numbers))
    outside = are_numbers and not all(limits[0] <= number <= limits[1] for number in numbers)
    hints = [unit_guess.guess(key, numbers, *limits)] if outside else []
    if "prefixItems" in node and not (isinstance(value, list) and len(value) == 2):
        hints.append(sentences.BOTH_ENDS.format(key=key))
    return " ".join(filter(None, hints)) or _meaning(node)


def _cure_text(key: str, value: str) -> str:
    """For a number written as text: 245 out of "245 °C", or out of "473 °F"; else nothing."""
    number = _number_alone(key, value)
    if number is None:
        return ""
    return sentences.NUMBER_ALONE.format(key=key, value=unit_guess.tidy(number))


def _number_alone(key: str, value: Any) -> float | None:
    """The number in our unit that this number or text stands for; None: it is none."""
    match = None if is_number(value) else _NUMBER_IN_TEXT.fullmatch(str(value))
    if match is None:
        return float(value) if is_number(value) else None
    number, unit = float(match[1].replace(",", ".")), _plain_unit(match[2])
    for other in unit_guess.OTHERS.get(unit_guess.suffix_of(key), ()):
        if unit == _plain_unit(other.name):
            number = other.convert(number)
    return number


def _plain_unit(text: str) -> str:
    return text.strip(" °º").casefold()


def _nearest_choice(value: str, node: Mapping[str, Any]) -> str | None:
    choices = [choice for choice in node.get("enum", ()) if isinstance(choice, str)]
    plain = re.sub(r"[\s-]+", "_", value.strip().casefold())
    by_plain = {choice.replace("-", "_"): choice for choice in choices}
    close = difflib.get_close_matches(plain, by_plain, n=1, cutoff=0.6)
    return by_plain[close[0]] if close else None


def _at(data: Any, path: KeyPath) -> Any:
    for step in path:
        if isinstance(step, str) and not isinstance(data, Mapping):
            return data
        try:
            data = data[step]
        except (KeyError, IndexError, TypeError):
            return None
    return data
