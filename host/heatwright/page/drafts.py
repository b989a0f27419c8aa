"""A document being edited in a form: its texts by the name of their field, and the raw data.

A field's name is the path of its key, ``window.peak_c``; rows of a list are counted,
``stages.2.to_c``, and so are those of a table whose keys are the person's, with the key as a field
of its own.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from heatwright.documents.base import Document, KeyPath
from heatwright.documents.expectations import Node, keys_of, node_at
from heatwright.page.values import kind_of, texts_of, value_of

Texts = dict[str, list[str]]
# The field that holds the key of a row, in a table whose keys are the person's.
KEY = "key"


def shape_of(node: Node, items: Node) -> str:
    """table, rows (a list of tables), keyed (a table of tables) or value."""
    if "properties" in node:
        return "table"
    if isinstance(node.get("additionalProperties"), dict):
        return "keyed"
    return "rows" if "properties" in items else "value"


class Draft:
    """``texts`` as they stand in the fields; nothing is dropped that was typed."""

    def __init__(self, model: type[Document], texts: Texts) -> None:
        self.model = model
        self.texts = texts

    @classmethod
    def posted(cls, model: type[Document], pairs: Iterable[tuple[str, str]]) -> Draft:
        """From the fields of a form; an end of a window is a field of the same name."""
        texts: Texts = {}
        for name, text in pairs:
            texts.setdefault(name, []).append(text)
        return cls(model, texts)

    @classmethod
    def of(cls, model: type[Document], data: Mapping[str, Any]) -> Draft:
        """The fields that show this raw data."""
        draft = cls(model, {})
        draft._show((), "", data)
        return draft

    def shape(self, path: KeyPath) -> str:
        return shape_of(node_at(self.model, path), node_at(self.model, (*path, 0)))

    def _show(self, path: KeyPath, name: str, value: Any) -> None:
        shape = self.shape(path)
        if shape == "table" and isinstance(value, Mapping):
            for key, one in value.items():
                self._show((*path, key), _joined(name, key), one)
        elif shape == "rows" and isinstance(value, list):
            for at, one in enumerate(value):
                self._show((*path, at), _joined(name, at), one)
        elif shape == "keyed" and isinstance(value, Mapping):
            for at, (key, one) in enumerate(value.items()):
                self.texts[f"{name}.{at}.{KEY}"] = [key]
                self._show((*path, key), _joined(name, at), one)
        else:
            self.texts[name] = texts_of(kind_of(node_at(self.model, path)), value)

    def rows(self, name: str) -> list[int]:
        """The numbers of a list's rows, also of those in which nothing is written yet."""
        found = (text[len(name) + 1 :].partition(".")[0] for text in self._under(name))
        return sorted({int(at) for at in found if at.isdecimal()})

    def _under(self, name: str) -> list[str]:
        return [text for text in self.texts if text.startswith(f"{name}.")]

    def is_empty(self, name: str) -> bool:
        under = self.texts if not name else [*self._under(name), name]
        return not any(text.strip() for one in under for text in self.texts.get(one, ()))

    def data(self) -> dict[str, Any]:
        """The raw data that the fields stand for, as a file would hold it."""
        return self._table((), "")

    def _table(self, path: KeyPath, name: str) -> dict[str, Any]:
        node = node_at(self.model, path)
        found = {}
        for key in keys_of(node):
            value = self._value((*path, key), _joined(name, key))
            if value is not None or self._must_be(node, (*path, key)):
                found[key] = {} if value is None else value
        return found

    def _must_be(self, node: Node, path: KeyPath) -> bool:
        """A table that is needed is there, however empty: what is missing is said of its keys."""
        return path[-1] in node.get("required", ()) and self.shape(path) == "table"

    def _value(self, path: KeyPath, name: str) -> Any:
        shape = self.shape(path)
        if shape == "value":
            return value_of(kind_of(node_at(self.model, path)), self.texts.get(name, ()))
        if shape == "table":
            return None if self.is_empty(name) else self._table(path, name)
        rows = self.rows(name)
        if shape == "rows":
            return [self._table((*path, at), _joined(name, at)) for at in rows] or None
        keyed = {self.key(name, at): self._table((*path, ""), _joined(name, at)) for at in rows}
        return keyed or None

    def key(self, name: str, at: int) -> str:
        """What a row of a keyed table is called."""
        return "".join(self.texts.get(f"{name}.{at}.{KEY}", ())).strip()

    def add_row(self, name: str) -> int:
        """One more row, empty; returns its number."""
        at = len(self.rows(name))
        first = KEY if self.shape(tuple(name.split("."))) == "keyed" else self._first_key(name)
        self.texts[f"{name}.{at}.{first}"] = [""]
        return at

    def _first_key(self, name: str) -> str:
        return keys_of(node_at(self.model, (*name.split("."), 0)))[0]

    def remove_row(self, name: str, at: int) -> None:
        self._reorder(name, [row for row in self.rows(name) if row != at])

    def raise_row(self, name: str, at: int) -> None:
        """Swap a row with the one before it."""
        rows = self.rows(name)
        if at in rows and rows.index(at) > 0:
            place = rows.index(at)
            rows[place - 1], rows[place] = rows[place], rows[place - 1]
        self._reorder(name, rows)

    def _reorder(self, name: str, rows: Sequence[int]) -> None:
        old = {one: self.texts.pop(one) for one in self._under(name)}
        for new, row in enumerate(rows):
            stem = f"{name}.{row}."
            for one, texts in old.items():
                if one.startswith(stem):
                    self.texts[f"{name}.{new}.{one[len(stem) :]}"] = texts


def _joined(name: str, key: str | int) -> str:
    return f"{name}.{key}" if name else str(key)
