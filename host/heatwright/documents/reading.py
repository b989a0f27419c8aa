"""Reads a TOML document; every fault of the file comes out at once, with line, key and cure."""

from __future__ import annotations

from pathlib import Path
from typing import Any, TypeVar

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from heatwright import sentences
from heatwright.documents import faults as explaining
from heatwright.documents.base import Clash, Document, KeyPath
from heatwright.documents.places import line_of, lines_of_keys, place
from heatwright.documents.syntax import parse
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


def read_document(model: type[D], path: Path) -> D:
    """Read and check one document file. Raises `BadInput` with all its faults."""
    return parse_document(model, read_text(path), str(path))


def parse_document(model: type[D], text: str, name: str) -> D:
    """Check a document's text; ``name`` stands for the file in messages. Raises `BadInput`."""
    text = text.replace("\r\n", "\n")
    parsed = parse(text, name)
    if parsed.data is None:
        raise BadInput(*parsed.faults)
    refuse_other_kind(model, parsed.data, name)
    found = clashes_in(model, parsed.data, parsed.lost)
    if parsed.faults or found:
        lines = lines_of_keys(parsed.text)
        found.sort(key=lambda clash: line_of(lines, clash.path) or 0)
        placed = [_fault(clash, name, line_of(lines, clash.path)) for clash in found]
        raise BadInput(*parsed.faults, *placed)
    return model.model_validate(parsed.data)


def clashes_in(
    model: type[Document], data: dict[str, Any], lost: frozenset[str] = frozenset()
) -> list[Clash]:
    """Everything that is wrong with a document's raw data, each at the path of its key.

    ``lost`` are keys that are there but could not be read: they are not missing.
    """
    try:
        model.model_validate(data)
    except ValidationError as error:
        errors = [e for e in error.errors(include_url=False) if not _is_lost(e, lost)]
        return _explain(model, data, errors, lost)
    return []


def _is_lost(error: ErrorDetails, lost: frozenset[str]) -> bool:
    """A key that stands on a line which is not TOML is no missing key."""
    return error["type"] == "missing" and error["loc"][-1] in lost


def _explain(
    model: type[Document], data: dict[str, Any], errors: list[ErrorDetails], lost: frozenset[str]
) -> list[Clash]:
    context = explaining.Context(model, data, set())
    found = explaining.explain(context, errors)
    # a value that is wrong by itself is no ground for further complaints
    sound = without(data, [clash.path for clash in found])
    for clash in model.clashes(sound):
        if clash.path not in context.misnamed and clash.path[-1] not in lost:
            found.append(clash)
    return found


def without(data: Any, paths: list[KeyPath]) -> Any:
    """A copy of raw data that leaves out what stands at these paths; lists keep their length."""
    if () in paths:
        return None
    if not isinstance(data, dict | list):
        return data
    items = data.items() if isinstance(data, dict) else enumerate(data)
    kept = {key: without(value, [p[1:] for p in paths if p[:1] == (key,)]) for key, value in items}
    return kept if isinstance(data, dict) else list(kept.values())


def candidate_path(out: Path) -> Path:
    """Where a candidate for this source file waits to be accepted."""
    return out.with_name(f"{out.stem}.candidate.toml")


def _no_file_cure(path: Path) -> str:
    waits = candidate_path(path).is_file()
    return sentences.CANDIDATE_WAITS.format(path=path) if waits else sentences.NO_FILE_CURE


def read_text(path: Path) -> str:
    """The text of a file. Raises `BadInput` if there is none, or none that can be read."""
    try:
        raw = path.read_bytes() if path.stat().st_size <= MAX_BYTES else None
    except FileNotFoundError:
        raise _unreadable(path, sentences.NO_FILE, _no_file_cure(path)) from None
    except IsADirectoryError:
        raise _unreadable(path, sentences.IS_FOLDER, sentences.IS_FOLDER_CURE) from None
    except OSError as error:
        what = sentences.FILE_CLOSED.format(reason=error.strerror)
        raise _unreadable(path, what, sentences.FILE_CLOSED_CURE) from None
    if raw is None:
        raise _unreadable(path, sentences.FILE_LARGE, sentences.FILE_LARGE_CURE)
    return _decode(path, raw)


def _decode(path: Path, raw: bytes) -> str:
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw[: error.start].count(b"\n") + 1
        raise BadInput(
            Fault(
                sentences.NOT_UTF8,
                place(str(path), line, ()),
                f"byte 0x{raw[error.start]:02x}",
                "UTF-8 text",
                sentences.NOT_UTF8_CURE,
            )
        ) from None


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


def _fault(clash: Clash, name: str, line: int | None) -> Fault:
    where = place(name, line, clash.path)
    return Fault(clash.what, where, clash.found, clash.expected, clash.cure)


def _unreadable(path: Path, what: str, cure: str) -> BadInput:
    return BadInput(Fault(what, str(path), "", "", cure))
