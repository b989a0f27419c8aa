"""What a key may hold, in words, read out of the document's own JSON Schema."""

from __future__ import annotations

import json
from functools import cache
from typing import Any

from heatwright import sentences
from heatwright.documents.base import Document, KeyPath

Node = dict[str, Any]


@cache
def schema_of(model: type[Document]) -> Node:
    """The JSON Schema of a document model."""
    return model.model_json_schema()


def node_at(model: type[Document], path: KeyPath) -> Node:
    """The part of the schema that governs this path; empty where the path leads nowhere."""
    schema = schema_of(model)
    node = _settle(schema, schema)
    for step in path:
        node = _settle(schema, _child(node, step))
    return node


def keys_of(node: Node) -> list[str]:
    """The keys that a table may hold."""
    return list(node.get("properties", ()))


def tables_with(model: type[Document], key: str) -> list[str]:
    """The names of the document's own tables that know this key; "" stands for the top."""
    names = ["", *keys_of(node_at(model, ()))]
    return [name for name in names if key in keys_of(node_at(model, (name,) if name else ()))]


def bounds(node: Node) -> tuple[float, float] | None:
    """Lowest and highest number allowed here, if it is a number or a window."""
    items = node.get("prefixItems")
    node = items[0] if items else node
    low = node.get("minimum", node.get("exclusiveMinimum"))
    high = node.get("maximum", node.get("exclusiveMaximum"))
    return None if low is None or high is None else (low, high)


def in_words(node: Node) -> str:
    """What may stand here: ``a number from 60 to 330``."""
    if "enum" in node or "const" in node:
        choices = node.get("enum", [node.get("const")])
        return sentences.NOUN_ONE_OF.format(choices=", ".join(json.dumps(one) for one in choices))
    if "prefixItems" in node:
        number = _number(node["prefixItems"][0], sentences.NOUNS["number"])
        return sentences.EACH_OF_TWO.format(number=number)
    if node.get("format") in ("date", "date-time"):
        return sentences.A_DATE
    return _plain_words(node)


def _plain_words(node: Node) -> str:
    kind = node.get("type", "")
    noun = sentences.NOUNS.get(kind, "")
    return _number(node, noun) if kind in ("number", "integer") else _filled(node, noun)


def _number(node: Node, noun: str) -> str:
    limits = bounds(node)
    if limits is None:
        return noun
    form = sentences.NOUN_ABOVE if "exclusiveMinimum" in node else sentences.NOUN_FROM_TO
    return form.format(noun=noun, low=limits[0], high=limits[1])


def _filled(node: Node, noun: str) -> str:
    is_filled = node.get("minLength") or node.get("minItems")
    return sentences.NOT_EMPTY.format(noun=noun) if is_filled else noun


def _child(node: Node, step: str | int) -> Node:
    if isinstance(step, int):
        items: list[Node] = node.get("prefixItems", [])
        return items[step] if step < len(items) else node.get("items", {})
    extra = node.get("additionalProperties")
    found: Node = node.get("properties", {}).get(step) or (extra if isinstance(extra, dict) else {})
    return found


def _settle(schema: Node, node: Node) -> Node:
    """Follow a reference, and take the one alternative that is not null."""
    for choice in node.get("anyOf", ()):
        if choice.get("type") != "null":
            return _settle(schema, node | choice | {"anyOf": []})
    if "$ref" in node:
        name = node["$ref"].rsplit("/", 1)[1]
        rest = {key: value for key, value in node.items() if key != "$ref"}
        return _settle(schema, schema["$defs"][name] | rest)
    return node
