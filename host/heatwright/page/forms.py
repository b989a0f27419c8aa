"""A document's form, made from its schema: a field for each key, with unit, range and faults."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from heatwright import sentences
from heatwright.documents import alloys
from heatwright.documents.base import Clash, KeyPath, dotted, key_names
from heatwright.documents.expectations import Node, bounds, keys_of, node_at
from heatwright.documents.unit_guess import tidy, unit_of
from heatwright.page.drafts import KEY, Draft
from heatwright.page.values import kind_of

# Tables with more keys than a person fills in by hand are closed until they are asked for.
MANY = 12
LONG_TEXTS = frozenset({"notes"})
MISSING = (sentences.MISSING_KEY, sentences.MISSING_TABLE)


@dataclass(frozen=True)
class Field:
    """One key of a document, or the end of a row's name; ``name`` is unique in the form."""

    name: str
    key: str
    kind: str
    label: str
    unit: str
    range: str
    needed: bool
    texts: tuple[str, ...]
    choices: tuple[str, ...] = ()
    otherwise: str = ""
    origin: str = ""
    is_long: bool = False
    faults: tuple[dict[str, str], ...] = ()

    @property
    def text(self) -> str:
        return self.texts[0] if self.texts else ""

    @property
    def is_said(self) -> bool:
        return any(self.texts)

    @property
    def is_wrong(self) -> bool:
        return bool(self.faults)


@dataclass(frozen=True)
class Group:
    """A table: its fields, the tables in it, and the rows where it is a list of tables."""

    name: str
    label: str
    fields: tuple[Field, ...] = ()
    groups: tuple[Group, ...] = ()
    is_list: bool = False
    is_many: bool = False
    faults: tuple[dict[str, str], ...] = ()

    @property
    def is_said(self) -> bool:
        return any(one.is_said for one in self._inside)

    @property
    def is_wrong(self) -> bool:
        return bool(self.faults) or any(one.is_wrong for one in self._inside)

    @property
    def _inside(self) -> tuple[Field | Group, ...]:
        return (*self.fields, *self.groups)


@dataclass(frozen=True)
class Form:
    """All of it; ``faults`` are those that belong to no field, ``count`` is of all."""

    groups: tuple[Group, ...]
    faults: tuple[dict[str, str], ...]
    count: int


Suggested = Mapping[str, Sequence[str]]


def form_of(draft: Draft, clashes: Sequence[Clash], suggested: Suggested) -> Form:
    """The form that shows this draft, each clash at the field whose key it is about.

    ``suggested`` are names that may be typed in, by key, as `Shelf.suggested` has them.
    """
    maker = _Maker(draft, clashes, suggested)
    groups = tuple(maker.groups())
    left = tuple(said(one) for one in clashes if one.path not in maker.placed)
    return Form(groups, left, len(clashes))


def faults_by_name(draft: Draft, clashes: Sequence[Clash]) -> dict[str, list[dict[str, str]]]:
    """The faults of a draft by the name of their field or group; "" for those of none."""
    form = form_of(draft, clashes, {})
    found: dict[str, list[dict[str, str]]] = {"": list(form.faults)}
    for one in _all(form.groups):
        if one.faults:
            found[one.name] = list(one.faults)
    return found


def _all(groups: Sequence[Group]) -> Iterator[Field | Group]:
    for group in groups:
        yield group
        yield from group.fields
        yield from _all(group.groups)


def said(clash: Clash) -> dict[str, str]:
    """A clash as it is told beside its field: what is only missing needs no more words."""
    if clash.what in MISSING:
        return {"what": sentences.PAGE["fill_in"], "found": "", "expected": "", "cure": ""}
    return {
        "what": clash.what,
        "where": dotted(clash.path),
        "found": clash.found,
        "expected": clash.expected,
        "cure": clash.cure,
    }


class _Maker:
    def __init__(self, draft: Draft, clashes: Sequence[Clash], suggested: Suggested) -> None:
        self.draft, self.model, self.clashes = draft, draft.model, clashes
        self.suggested = suggested
        self.placed: set[KeyPath] = set()
        self.origins = self._origins()

    def _origins(self) -> dict[str, str]:
        """How well each key is known, in a word or two."""
        origin = self.draft.data().get("origin", {})
        known = {key: str(row.get("status", "")).replace("_", " ") for key, row in origin.items()}
        return {
            key: sentences.PAGE["known_from"].format(status=status)
            for key, status in known.items()
            if status
        }

    def groups(self) -> Iterator[Group]:
        """The document's own keys, its tables, and last where its numbers come from."""
        node = node_at(self.model, ())
        own, tables = self._keys(())
        label = sentences.PAGE["kinds"][self.model.kind_of_document]
        yield Group("", label, tuple(self._field((key,), key, node) for key in own))
        for key in sorted(tables, key=lambda key: key == "origin"):
            yield self._group((key,), key)

    def _keys(self, path: KeyPath) -> tuple[list[str], list[str]]:
        """The keys of a table that hold values, and those that hold tables."""
        keys = keys_of(node_at(self.model, path))
        own = [key for key in keys if self.draft.shape((*path, key)) == "value"]
        return own, [key for key in keys if key not in own]

    def _group(self, path: KeyPath, name: str) -> Group:
        shape = self.draft.shape(path)
        if shape == "table":
            return self._table(path, name, _label(node_at(self.model, path), path))
        rows = tuple(self._row(path, name, at, shape) for at in self.draft.rows(name))
        label = _label(node_at(self.model, path), path)
        many = shape == "keyed"
        return Group(name, label, (), rows, True, many, self._faults(path))

    def _row(self, path: KeyPath, name: str, at: int, shape: str) -> Group:
        label = sentences.PAGE["row"].format(number=at + 1)
        row = f"{name}.{at}"
        if shape == "rows":
            return self._table((*path, at), row, label)
        key = self.draft.key(name, at)
        table = self._table((*path, key), row, label)
        return Group(row, label, (self._key(row, path, key), *table.fields), faults=table.faults)

    def _key(self, row: str, path: KeyPath, key: str) -> Field:
        choices = tuple(sorted(key_names(self.model) - {"origin"}))
        label = sentences.PAGE["which_key"]
        return Field(f"{row}.{KEY}", KEY, "text", label, "", "", True, (key,), choices)

    def _table(self, path: KeyPath, name: str, label: str) -> Group:
        node = node_at(self.model, path)
        keys = [(key, self.draft.shape((*path, key))) for key in keys_of(node)]
        fields = tuple(
            self._field((*path, key), f"{name}.{key}", node) for key, s in keys if s == "value"
        )
        groups = tuple(
            self._group((*path, key), f"{name}.{key}") for key, s in keys if s != "value"
        )
        return Group(name, label, fields, groups, False, len(fields) > MANY, self._faults(path))

    def _field(self, path: KeyPath, name: str, table: Node) -> Field:
        node, key = node_at(self.model, path), str(path[-1])
        kind = kind_of(node)
        return Field(
            name=name,
            key=key,
            kind=kind,
            label=_label(node, path),
            unit=unit_of(key) if kind in ("number", "integer", "window") else "",
            range=_range(node),
            needed=key in table.get("required", ()),
            texts=tuple(self.draft.texts.get(name, ())),
            choices=self._choices(path, node),
            otherwise=_otherwise(node),
            origin=self.origins.get(key, "") if path[0] != "origin" else "",
            is_long=key in LONG_TEXTS,
            faults=self._faults(path),
        )

    def _choices(self, path: KeyPath, node: Node) -> tuple[str, ...]:
        items = node.get("items", {})
        found: Sequence[Any] = node.get("enum") or items.get("enum") or self._names(str(path[-1]))
        return tuple(map(str, found))

    def _names(self, key: str) -> Sequence[str]:
        """Names that may be typed here, where the documents at hand have some."""
        if key in ("alloy", "touch_up_alloy"):
            return [one.short or one.name for one in alloys.ALLOYS]
        return self.suggested.get(key, ())

    def _faults(self, path: KeyPath) -> tuple[dict[str, str], ...]:
        own = [clash for clash in self.clashes if clash.path == path]
        if own:
            self.placed.add(path)
        return tuple(said(clash) for clash in own)


def _label(node: Node, path: KeyPath) -> str:
    """What a key means, without the unit that stands beside its field."""
    key = str(path[-1])
    text: str = node.get("description") or key.replace("_", " ")
    text = text.removesuffix(f", {unit_of(key)}")
    return f"{text[:1].upper()}{text[1:]}"


def _range(node: Node) -> str:
    limits = bounds(node)
    if limits is None:
        return ""
    low, high = (tidy(limit) for limit in limits)
    return str(sentences.PAGE["range"]).format(low=low, high=high)


def _otherwise(node: Node) -> str:
    """What holds where nothing is written."""
    value = node.get("default")
    if value in (None, "", [], {}):
        return ""
    if isinstance(value, bool):
        return str(sentences.PAGE["yes" if value else "no"])
    return str(value).replace("_", " ") if isinstance(value, str) else f"{value:g}"
