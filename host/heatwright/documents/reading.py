"""Reads a TOML document; every fault of the file comes out at once, with line, key and cure."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path as FilePath
from typing import Any, TypeVar

from pydantic import ValidationError

from heatwright import sentences
from heatwright.documents import faults
from heatwright.documents.base import Clash, Document
from heatwright.documents.places import line_of, lines_of_keys
from heatwright.errors import BadInput, Fault

D = TypeVar("D", bound=Document)

# far above any document; keeps a video named .toml out of memory
MAX_BYTES = 1_000_000

# By these a document is known, where it was taken for another one.
SIGNATURES = {
    "paste": {"alloy", "liquidus_c"},
    "part": {"package"},
    "source": {"kind", "ratings"},
    "profile": {"stages"},
    "board": {"finish", "layers", "placements"},
}
# What people write that TOML does not allow, and what to write instead; tried in this order.
SYNTAX_CURES = (
    (re.compile(r"^\s*[{\"]"), sentences.SYNTAX_JSON),
    (re.compile(r"[“”„‘’]"), sentences.SYNTAX_QUOTES),
    (re.compile(r"=\s*-?\d+,\d+\s*(#.*)?$"), sentences.SYNTAX_COMMA),
    (re.compile(r"=\s*-?[\d.]+\s*[°a-zA-Zµ%]"), sentences.SYNTAX_UNIT),
    (re.compile(r"=\s*-?[\d.]+\s*(-|–|to|\.\.)\s*[\d.]+"), sentences.SYNTAX_RANGE),
    (re.compile(r"^\s*[\w.-]+\s*:"), sentences.SYNTAX_COLON),
    (re.compile(r"=\s*(True|False|yes|no|on|off)\b", re.IGNORECASE), sentences.SYNTAX_BOOL),
    (re.compile(r"=\s*[A-Za-z_]"), sentences.SYNTAX_BARE_TEXT),
    (re.compile(r"=\s*(#.*)?$"), sentences.SYNTAX_EMPTY),
)


def read_document(model: type[D], path: FilePath) -> D:
    """Read and check one document file. Raises `BadInput` with all its faults."""
    return parse_document(model, read_text(path), str(path))


def parse_document(model: type[D], text: str, name: str) -> D:
    """Check a document's text; ``name`` stands for the file in messages. Raises `BadInput`."""
    text = text.replace("\r\n", "\n")
    data = _parse(text, name)
    refuse_other_kind(model, data, name)
    try:
        return model.model_validate(data)
    except ValidationError as error:
        found = faults.explain(faults.Context(model, data), error.errors(include_url=False))
    found += [clash for clash in model.clashes(data) if _is_new(clash, found)]
    lines = lines_of_keys(text)
    found.sort(key=lambda clash: line_of(lines, clash.path) or 0)
    raise BadInput(*(_fault(clash, name, line_of(lines, clash.path)) for clash in found)) from None


def read_text(path: FilePath) -> str:
    """The text of a file. Raises `BadInput` if there is none, or none that can be read."""
    try:
        raw = path.read_bytes() if path.stat().st_size <= MAX_BYTES else None
    except FileNotFoundError:
        raise _unreadable(path, sentences.NO_FILE, sentences.NO_FILE_CURE) from None
    except IsADirectoryError:
        raise _unreadable(path, sentences.IS_FOLDER, sentences.IS_FOLDER_CURE) from None
    except OSError as error:
        what = sentences.FILE_CLOSED.format(reason=error.strerror)
        raise _unreadable(path, what, sentences.FILE_CLOSED_CURE) from None
    if raw is None:
        raise _unreadable(path, sentences.FILE_LARGE, sentences.FILE_LARGE_CURE)
    return _decode(path, raw)


def _decode(path: FilePath, raw: bytes) -> str:
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw[: error.start].count(b"\n") + 1
        raise BadInput(
            Fault(
                sentences.NOT_UTF8,
                faults.place(str(path), line, ()),
                f"byte 0x{raw[error.start]:02x}",
                "UTF-8 text",
                sentences.NOT_UTF8_CURE,
            )
        ) from None


def _parse(text: str, name: str) -> dict[str, Any]:
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise BadInput(_syntax_fault(text, name, str(error))) from None


def _syntax_fault(text: str, name: str, message: str) -> Fault:
    at = re.search(r"line (\d+)", message)
    lines = text.split("\n")
    line_number = int(at[1]) if at else len(lines)
    line = lines[line_number - 1].strip()
    where = faults.place(name, line_number, ())
    if re.search("overwrite|twice", message):
        return Fault(sentences.TWICE, where, line, sentences.ONCE, sentences.TWICE_CURE)
    cure = next((cure for found, cure in SYNTAX_CURES if found.search(line)), sentences.SYNTAX_CURE)
    return Fault(sentences.SYNTAX, where, line, sentences.SYNTAX_EXPECTED, cure)


def refuse_other_kind(model: type[Document], data: dict[str, Any], name: str) -> None:
    """Say so when a file plainly is another kind of document than the one asked for."""
    asked = model.kind_of_document
    if SIGNATURES[asked] & data.keys():
        return
    other = next((kind for kind, keys in SIGNATURES.items() if keys & data.keys()), None)
    if other:
        key = sorted(SIGNATURES[other] & data.keys())[0]
        what = sentences.OTHER_KIND.format(other=other, asked=asked)
        found = sentences.OTHER_KIND_FOUND.format(key=key, other=other)
        cure = sentences.OTHER_KIND_CURE.format(asked=asked)
        raise BadInput(Fault(what, name, found, f"a {asked}", cure))


def _is_new(clash: Clash, found: list[Clash]) -> bool:
    """A key whose value is wrong by itself needs no second complaint."""
    return all(clash.path != earlier.path for earlier in found)


def _fault(clash: Clash, name: str, line: int | None) -> Fault:
    where = faults.place(name, line, clash.path)
    return Fault(clash.what, where, clash.found, clash.expected, clash.cure)


def _unreadable(path: FilePath, what: str, cure: str) -> BadInput:
    return BadInput(Fault(what, str(path), "", "", cure))
