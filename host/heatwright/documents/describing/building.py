"""From answers to a document: nested keys, and an origin that says *assumed* for each default."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, TypeVar

import tomlkit

from heatwright import sentences
from heatwright.documents.base import Document, is_number
from heatwright.documents.describing.answers import path_of
from heatwright.documents.reading import parse_document

D = TypeVar("D", bound=Document)


def nested(values: Mapping[str, Any]) -> dict[str, Any]:
    """``{"window.peak_c": x}`` as the tables of a document; keys without a value are left out."""
    data: dict[str, Any] = {}
    for key, value in values.items():
        table = data
        *tables, last = path_of(key)
        for name in tables:
            table = table.setdefault(name, {})
        if value is not None:
            table[last] = list(value) if isinstance(value, tuple) else value
    return data


def origins(assumed: Mapping[str, str], values: Mapping[str, Any]) -> dict[str, dict[str, str]]:
    """The origin of each number that was assumed, by key, with where the default comes from."""
    return {
        path_of(key)[-1]: {"status": "assumed", "source": assumed[key]}
        for key, value in values.items()
        if key in assumed and (is_number(value) or isinstance(value, tuple))
    }


def clash_in(model: type[Document], values: Mapping[str, Any], key: str) -> str:
    """What is wrong with the answer at ``key``, seen beside the others; empty where nothing is."""
    for clash in model.clashes(nested(values)):
        if clash.path == path_of(key):
            return sentences.CLASHES.format(
                what=clash.what, found=clash.found, expected=clash.expected, cure=clash.cure
            )
    return ""


def document(model: type[D], data: Mapping[str, Any], name: str) -> D:
    """Check the data as a file of this name would be checked. Raises `BadInput`."""
    return parse_document(model, tomlkit.dumps(data), name)
