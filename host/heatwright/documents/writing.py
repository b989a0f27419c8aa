"""Writes documents: each key with what it means beside it, the file never half written."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import tomlkit
from tomlkit.items import AoT, Array, InlineTable, Table

from heatwright import sentences
from heatwright.documents.base import Document, KeyPath
from heatwright.documents.expectations import node_at
from heatwright.documents.schema import file_name
from heatwright.errors import BadInput, Fault


def write_document(document: Document, path: Path) -> None:
    """Write a document as commented TOML. Raises `BadInput`; the old file is then untouched."""
    write_beside(path, document_text(document))


def document_text(document: Document) -> str:
    """A document as TOML text; reading it back gives an equal document."""
    toml = tomlkit.document()
    # a line that editors with a TOML language server understand
    toml.add(tomlkit.comment(f":schema ./{file_name(document.kind_of_document)}"))
    data = document.model_dump(exclude_defaults=True)
    _fill(toml, data, type(document), ())
    return tomlkit.dumps(toml).replace("# :schema", "#:schema", 1).rstrip("\n") + "\n"


def write_beside(path: Path, data: str | bytes) -> None:
    """Write a new file beside ``path`` and rename it over; text as UTF-8. Raises `BadInput`."""
    beside = None
    try:
        handle, beside = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
        with os.fdopen(handle, "wb") as file:
            file.write(data.encode() if isinstance(data, str) else data)
            file.flush()
            os.fsync(file.fileno())
        # mkstemp makes files that only their owner reads; a document is an ordinary file
        os.chmod(beside, 0o644)
        os.replace(beside, path)
    except OSError as error:
        if beside:
            Path(beside).unlink(missing_ok=True)
        raise _not_written(path, error.strerror) from error


def check_writable(path: Path) -> None:
    """Whether `write_beside` could write here: asked before long work. Raises `BadInput`."""
    if path.exists() and not path.is_file():
        raise _not_written(path, sentences.NO_REGULAR_FILE)
    try:
        handle, beside = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
    except OSError as error:
        raise _not_written(path, error.strerror) from error
    os.close(handle)
    Path(beside).unlink()


def _not_written(path: Path, reason: str | None) -> BadInput:
    was = f"{sentences.OLD_AS_IT_WAS} " if path.is_file() else ""
    what = sentences.NOT_WRITTEN.format(reason=reason)
    return BadInput(Fault(what, str(path), cure=was + sentences.NOT_WRITTEN_CURE))


def _fill(table: Any, data: Mapping[str, Any], model: type[Document], path: KeyPath) -> None:
    """Plain values first: in TOML whatever follows a table's head belongs to that table."""
    ordered = sorted(data.items(), key=lambda pair: (_is_table(pair[1]), pair[0] == "origin"))
    for key, value in ordered:
        at = (*path, key)
        item = item_of(value, model, at)
        table.add(key, item)


def _is_table(value: Any) -> bool:
    return isinstance(value, Mapping) or _is_array_of_tables(value)


def _is_array_of_tables(value: Any) -> bool:
    return isinstance(value, list) and bool(value) and isinstance(value[0], Mapping)


def item_of(value: Any, model: type[Document], path: KeyPath) -> Any:
    """A value as TOML, what its key means beside it."""
    item = _item(value, model, path)
    meaning = node_at(model, path).get("description")
    if meaning and not _is_table(value) and path[:1] != ("origin",):
        item.comment(meaning)
    return item


def _item(value: Any, model: type[Document], path: KeyPath) -> Any:
    if _is_array_of_tables(value):
        return _array_of_tables(value, model, path)
    if isinstance(value, Mapping) and path[:-1] == ("origin",):
        return _one_line(value)
    if isinstance(value, Mapping):
        return _table(value, model, path)
    if isinstance(value, tuple | list):
        return _array(value)
    return tomlkit.item(value)


def _table(value: Mapping[str, Any], model: type[Document], path: KeyPath) -> Table:
    table = tomlkit.table()
    _fill(table, value, model, path)
    return table


def _one_line(value: Mapping[str, Any]) -> InlineTable:
    table = tomlkit.inline_table()
    table.update(value)
    return table


def _array_of_tables(value: list[Any], model: type[Document], path: KeyPath) -> AoT:
    entries = tomlkit.aot()
    for index, entry in enumerate(value):
        entries.append(_table(entry, model, (*path, index)))
    return entries


def _array(values: tuple[Any, ...] | list[Any]) -> Array:
    array = tomlkit.array()
    array.extend(list(value) if isinstance(value, tuple) else value for value in values)
    return array
