"""On which line of a TOML file each key stands; the text is known to be valid TOML."""

from __future__ import annotations

import re
import tomllib

from heatwright.documents.base import KeyPath, dotted

_HEADER = re.compile(r"\s*(\[\[?)(.+?)\]\]?\s*(?:#.*)?$")
_KEY = re.compile(r"""\s*((?:[\w-]+|"[^"]*"|'[^']*')(?:\s*\.\s*(?:[\w-]+|"[^"]*"|'[^']*'))*)\s*=""")
_TOKEN = re.compile(
    r'"""(?:\\.|[^\\])*?"""'
    r"|'''.*?'''"
    r'|"(?:\\.|[^"\\\n])*"'
    r"|'[^'\n]*'|#[^\n]*|[\[\]{}]|\n",
    re.DOTALL,
)


def lines_of_keys(text: str) -> dict[KeyPath, int]:
    """The line, from one, of each table, key and array entry; inline tables have their key's."""
    places: dict[KeyPath, int] = {}
    counts: dict[KeyPath, int] = {}
    table: KeyPath = ()
    for line_number, line in _statements(text):
        header = _HEADER.match(line)
        if header and not _KEY.match(line):
            table = _resolve(_split(header[2]), counts)
            if header[1] == "[[":
                counts[table] = counts.get(table, -1) + 1
                table = (*table, counts[table])
            places[table] = line_number
        elif key := _KEY.match(line):
            places.setdefault((*table, *_split(key[1])), line_number)
    return places


def line_of(places: dict[KeyPath, int], path: KeyPath) -> int | None:
    """The line of a key, or of the nearest thing around it that has one."""
    for end in range(len(path), 0, -1):
        if path[:end] in places:
            return places[path[:end]]
    return None


def place(name: str, line: int | None, path: KeyPath) -> str:
    """Where in a file, as a person reads it: ``my.toml, line 4, window.peak_c``."""
    at_line = [] if line is None else [f"line {line}"]
    return ", ".join([name, *at_line, *([dotted(path)] if path else [])])


def _statements(text: str) -> list[tuple[int, str]]:
    """The physical lines on which a key or a header can begin, with their numbers."""
    lines = text.split("\n")
    starts, depth, number = [(1, lines[0])], 0, 1
    for token in _TOKEN.finditer(text):
        found = token[0]
        number += found.count("\n")
        depth += (found in ("[", "{")) - (found in ("]", "}"))
        if found == "\n" and depth == 0:
            starts.append((number, lines[number - 1]))
    return starts


def _split(dotted_key: str) -> tuple[str, ...]:
    """``a."b.c"`` into its parts, by TOML's own rules."""
    parts: list[str] = []
    node = tomllib.loads(f"{dotted_key} = 0")
    while isinstance(node, dict):
        (key, node), *_ = node.items()
        parts.append(key)
    return tuple(parts)


def _resolve(keys: tuple[str, ...], counts: dict[KeyPath, int]) -> KeyPath:
    """Put the number of the latest entry after each array of tables on the way to these keys."""
    path: KeyPath = ()
    for key in keys[:-1]:
        path = (*path, key)
        path = (*path, counts[path]) if path in counts else path
    return (*path, keys[-1])
