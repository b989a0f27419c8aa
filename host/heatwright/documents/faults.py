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
from heatwright.documents.base import Clash, Document, Path, dotted
from heatwright.documents.expectations import bounds, in_words, keys_of, node_at, tables_with

_NUMBER_IN_TEXT = re.compile(r"\s*(-?\d+(?:[.,]\d+)?)\s*(.*)")


class Context(NamedTuple):
    """The document being read."""

    model: type[Document]
    data: Mapping[str, Any]


def explain(context: Context, errors: Iterable[ErrorDetails]) -> list[Clash]:
    """One clash per error; a key that was only misnamed is not reported as missing too."""
    misnamed: set[Path] = set()
    found: list[Clash] = []
    # unknown keys first: they tell which missing keys are there under another name
    for error in sorted(errors, key=lambda error: error["type"] != "extra_forbidden"):
        path = error["loc"]
        if error["type"] == "extra_forbidden":
            found.append(_unknown(context, path, misnamed))
        elif error["type"] == "missing":
            if path not in misnamed and not isinstance(path[-1], int):
                found.append(_missing(context, path))
            elif isinstance(path[-1], int):
                found.append(_wrong(context, path[:-1], error))
        elif error["type"] != "clash":
            found.append(_wrong(context, path, error))
    # both ends of a window may be wrong: that is one fault
    return list(dict.fromkeys(found))


def shown(value: Any) -> str:
    """A value as it stands in TOML, shortened."""
    if isinstance(value, dt.date | dt.time):
        return str(value)
    text = json.dumps(value, ensure_ascii=False, default=str)
    return text if len(text) <= 60 else f"{text[:57]}..."


def _unknown(context: Context, path: Path, misnamed: set[Path]) -> Clash:
    key, table = str(path[-1]), path[:-1]
    known = keys_of(node_at(context.model, table))
    value = _at(context.data, path)
    right, cure = _rename(context, table, key, value)
    misnamed.update((*table, name) for name in right)
    expected = " or ".join(right) if right else ", ".join(known)
    what = sentences.NO_UNIT if _lacks_unit(key, right) else sentences.UNKNOWN_KEY
    found = f"[{key}]" if isinstance(value, Mapping) else f"{key} = {shown(value)}"
    return Clash(path, what, found, expected, cure)


def _lacks_unit(key: str, right: list[str]) -> bool:
    return any(key + unit_guess.suffix_of(name) == name != key for name in right)


def _fitting(node: Mapping[str, Any], value: Any) -> str:
    return "[low, high]" if "prefixItems" in node and _is_number(value) else shown(value)


def _rename(context: Context, table: Path, key: str, value: Any) -> tuple[list[str], str]:
    """The keys that were probably meant, and what to do."""
    known = keys_of(node_at(context.model, table))
    units = [name for name in known if _lacks_unit(key, [name])]
    if units:
        lines = " or ".join(
            f"{name} = {_fitting(node_at(context.model, (*table, name)), value)}"
            f" ({unit_guess.unit_of(name)})"
            for name in units
        )
        return units, sentences.WRITE_UNIT.format(lines=lines)
    for name in known:
        if cure := _converted(key, value, name):
            return [name], cure
    close = difflib.get_close_matches(key.casefold(), known, n=1, cutoff=0.6)
    if close:
        return close, sentences.DID_YOU_MEAN.format(name=close[0])
    if places := tables_with(context.model, key):
        where = sentences.IN_TABLE.format(table=places[0]) if places[0] else sentences.AT_TOP
        return [], where.format(key=key)
    return [], sentences.SEE_SCHEMA.format(kind=context.model.kind_of_document)


def _converted(key: str, value: Any, name: str) -> str:
    """How to write a value whose key carries another unit than ours."""
    suffix = unit_guess.suffix_of(name)
    for other in unit_guess.OTHERS.get(suffix, ()):
        if key == name.removesuffix(suffix) + other.suffix:
            numbers = value if isinstance(value, list) else [value]
            if all(_is_number(number) for number in numbers):
                right = [unit_guess.tidy(other.convert(number)) for number in numbers]
                text = f"[{', '.join(right)}]" if isinstance(value, list) else right[0]
                return sentences.CONVERTED.format(key=name, value=text)
    return ""


def _missing(context: Context, path: Path) -> Clash:
    node = node_at(context.model, path)
    what = sentences.MISSING_TABLE if node.get("type") == "object" else sentences.MISSING_KEY
    description = node.get("description", "")
    key = str(path[-1])
    cure = sentences.ADD_TABLE if node.get("type") == "object" else sentences.ADD_KEY
    return Clash(path, what, "", in_words(node), cure.format(key=key, meaning=description))


def _wrong(context: Context, path: Path, error: ErrorDetails) -> Clash:
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


def _cure(context: Context, path: Path, value: Any, node: Mapping[str, Any]) -> str:
    key = next((step for step in reversed(path) if isinstance(step, str)), "")
    limits, is_window = bounds(dict(node)), "prefixItems" in node
    if limits and isinstance(value, str) and not is_window:
        return _cure_text(key, value, limits)
    if isinstance(value, str) and (close := _nearest_choice(value, node)):
        return sentences.DID_YOU_MEAN.format(name=shown(close))
    if limits:
        return _cure_number(key, value, node, limits)
    return sentences.SEE_SCHEMA.format(kind=context.model.kind_of_document)


def _cure_number(key: str, value: Any, node: Mapping[str, Any], limits: tuple[float, float]) -> str:
    numbers = value if isinstance(value, list) else [value]
    are_numbers = all(map(_is_number, numbers))
    outside = are_numbers and not all(limits[0] <= number <= limits[1] for number in numbers)
    hints = [unit_guess.guess(key, numbers, *limits)] if outside else []
    if "prefixItems" in node and not (isinstance(value, list) and len(value) == 2):
        hints.append(sentences.BOTH_ENDS.format(key=key))
    meaning = sentences.MEANING.format(key=key, meaning=node.get("description", ""))
    return " ".join(filter(None, hints)) or meaning


def _cure_text(key: str, value: str, limits: tuple[float, float]) -> str:
    """For a number written as text: 245 out of "245 °C", or out of "473 F"."""
    match = _NUMBER_IN_TEXT.fullmatch(value)
    if not match:
        return sentences.NUMBER_ALONE.format(key=key, value=f"{limits[0]:g}")
    number, unit = float(match[1].replace(",", ".")), match[2].strip(" °º").casefold()
    others = unit_guess.OTHERS.get(unit_guess.suffix_of(key), ())
    for other in others:
        if unit and unit == other.name.strip("°").casefold():
            number = other.convert(number)
    return sentences.NUMBER_ALONE.format(key=key, value=unit_guess.tidy(number))


def _nearest_choice(value: str, node: Mapping[str, Any]) -> str | None:
    choices = [choice for choice in node.get("enum", ()) if isinstance(choice, str)]
    plain = re.sub(r"[\s-]+", "_", value.strip().casefold())
    by_plain = {choice.replace("-", "_"): choice for choice in choices}
    close = difflib.get_close_matches(plain, by_plain, n=1, cutoff=0.6)
    return by_plain[close[0]] if close else None


def _at(data: Any, path: Path) -> Any:
    for step in path:
        if isinstance(step, str) and not isinstance(data, Mapping):
            return data
        try:
            data = data[step]
        except (KeyError, IndexError, TypeError):
            return None
    return data


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def place(name: str, line: int | None, path: Path) -> str:
    """``my.toml, line 4, window.peak_c``."""
    at_line = [] if line is None else [f"line {line}"]
    return ", ".join([name, *at_line, *([dotted(path)] if path else [])])
