"""A document's text with some values changed; comments, order and spelling stay."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import tomlkit
from tomlkit.items import AoT

from heatwright.documents.base import Document, KeyPath
from heatwright.documents.expectations import keys_of, node_at
from heatwright.documents.writing import item_of


def edited(text: str, model: type[Document], data: Mapping[str, Any]) -> str:
    """The text of a document, made to hold this raw data; ``text`` is sound TOML, or empty.

    Keys that the model does not know are left alone: what a person wrote is not lost.
    """
    toml = tomlkit.parse(text)
    _change(toml, data, model, ())
    return tomlkit.dumps(toml)


def _change(table: Any, data: Mapping[str, Any], model: type[Document], path: KeyPath) -> None:
    before = table.unwrap()
    for key in [key for key in before if key not in data and _is_known(model, path, key)]:
        # an empty list or text says the same as no key
        if before[key] not in ([], ""):
            table.remove(key)
    for key, value in data.items():
        if key not in table:
            table.append(key, item_of(value, model, (*path, key)))
        elif before[key] != value:
            _replace(table, key, value, model, (*path, key))


def _is_known(model: type[Document], path: KeyPath, key: str) -> bool:
    node = node_at(model, path)
    return key in keys_of(node) or isinstance(node.get("additionalProperties"), dict)


def _replace(table: Any, key: str, value: Any, model: type[Document], path: KeyPath) -> None:
    old = table[key]
    if isinstance(old, Mapping) and isinstance(value, Mapping):
        _change(old, value, model, path)
    elif isinstance(old, AoT) and isinstance(value, list) and value:
        _change_rows(old, value, model, path)
    elif isinstance(old, AoT) or isinstance(value, Mapping):
        table.remove(key)
        table.append(key, item_of(value, model, path))
    else:
        # the comment beside the old value stays, by assigning without one
        table[key] = value


def _change_rows(rows: AoT, values: list[Any], model: type[Document], path: KeyPath) -> None:
    while len(rows) > len(values):
        del rows[len(rows) - 1]
    for at, value in enumerate(values):
        if at < len(rows):
            _change(rows[at], value, model, (*path, at))
        else:
            rows.append(item_of(value, model, (*path, at)))
