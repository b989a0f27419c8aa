"""Parses TOML past its first error, so that a file's other faults are seen in the same pass.

A line that is not TOML is reported, left out, and the rest is parsed again.
"""

from __future__ import annotations

import re
import tomllib
from typing import Any, NamedTuple

from heatwright import sentences
from heatwright.documents.places import place
from heatwright.errors import Fault

# What people write that TOML does not allow, and what to write instead; tried in this order.
CURES = (
    (re.compile(r"^[{\"]"), sentences.SYNTAX_JSON),
    (re.compile(r"[“”„‘’]"), sentences.SYNTAX_QUOTES),
    (re.compile(r"^[\w.-]+\s*:"), sentences.SYNTAX_COLON),
    (re.compile(r"=\s*-?\d+,\d+\s*(#.*)?$"), sentences.SYNTAX_COMMA),
    (re.compile(r"=\s*-?[\d.]+\s*(-|–|to|\.\.)\s*[\d.]+"), sentences.SYNTAX_RANGE),
    (re.compile(r"=\s*-?[\d.]+\s*[°a-zA-Zµ%]"), sentences.SYNTAX_UNIT),
    (re.compile(r"=\s*(true|false|yes|no|on|off)\b", re.IGNORECASE), sentences.SYNTAX_BOOL),
    (re.compile(r"=\s*[A-Za-z_]"), sentences.SYNTAX_BARE_TEXT),
    (re.compile(r"=\s*(#.*)?$"), sentences.SYNTAX_EMPTY),
)
_KEY = re.compile(r"\s*([\w.-]+)\s*[=:]")
# enough for any honest file; a file of another kind has an error on each line
MOST_ERRORS = 20
# A line of another kind of file may be as long as all of it.
SHOWN = 120


class Parsed(NamedTuple):
    """What could be read of the text that was left; no data where the rest would only confuse."""

    data: dict[str, Any] | None
    faults: list[Fault]
    lost: frozenset[str]
    text: str


def parse(text: str, name: str) -> Parsed:
    """Parse TOML; ``lost`` are the keys on lines that had to be left out."""
    lines = text.split("\n")
    faults: list[Fault] = []
    lost: set[str] = set()
    while len(faults) < MOST_ERRORS:
        try:
            left = "\n".join(lines)
            return Parsed(tomllib.loads(left), faults, frozenset(lost), left)
        except tomllib.TOMLDecodeError as error:
            index = _bad_line(lines, str(error))
            faults.append(_fault(lines[index].strip(), str(error), place(name, index + 1, ())))
            key = _KEY.match(lines[index])
            if key is None:
                break
            lost.add(key[1].rsplit(".", 1)[-1])
            lines[index] = ""
    return Parsed(None, faults, frozenset(lost), text)


def _bad_line(lines: list[str], message: str) -> int:
    """The index of the line to blame: one that opens a list and never closes it goes first."""
    at = re.search(r"line (\d+)", message)
    index = int(at[1]) - 1 if at else len(lines) - 1
    index = min(index, len(lines) - 1)
    opened = [i for i in range(index + 1) if _is_open(lines[i])]
    return opened[-1] if opened and not _is_twice(message) else index


def _is_open(line: str) -> bool:
    return bool(_KEY.match(line)) and line.count("[") > line.count("]")


def _is_twice(message: str) -> bool:
    return re.search("overwrite|twice", message) is not None


def _fault(line: str, message: str, where: str) -> Fault:
    if _is_twice(message):
        return Fault(sentences.TWICE, where, line, sentences.ONCE, sentences.TWICE_CURE)
    cure = next((cure for sign, cure in CURES if sign.search(line)), sentences.SYNTAX_CURE)
    if _is_open(line):
        cure = sentences.SYNTAX_NOT_CLOSED
    shown = line if len(line) <= SHOWN else line[:SHOWN] + "…"
    return Fault(sentences.SYNTAX, where, shown, sentences.SYNTAX_EXPECTED, cure)
