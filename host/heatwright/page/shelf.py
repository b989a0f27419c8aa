"""The documents at hand: those shipped, read only, and the person's own in one folder."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

from heatwright import sentences
from heatwright.documents import Board, Part, Paste, Profile, Source, library
from heatwright.documents.base import Document
from heatwright.documents.reading import parse_document, read_text
from heatwright.documents.writing import write_beside
from heatwright.errors import BadInput, Fault

MODELS: dict[str, type[Document]] = {
    "paste": Paste,
    "board": Board,
    "part": Part,
    "source": Source,
    "profile": Profile,
}
KINDS = tuple(MODELS)
NAME = re.compile(r"[a-z0-9][a-z0-9-]{0,39}")


@dataclass(frozen=True)
class Entry:
    """One document on the shelf."""

    kind: str
    name: str
    path: Path
    own: bool


@dataclass(frozen=True)
class Shelf:
    """``own`` holds KIND-NAME.toml files; it need not exist yet."""

    own: Path

    def entries(self, kind: str) -> list[Entry]:
        """All of a kind, the person's own first."""
        found = sorted(self.own.glob(f"{kind}-*.toml"))
        mine = [Entry(kind, path.stem.removeprefix(f"{kind}-"), path, True) for path in found]
        shipped = library.shipped(kind).items()
        taken = {entry.name for entry in mine}
        return mine + [Entry(kind, n, p, False) for n, p in shipped if n not in taken]

    def names(self, kind: str) -> list[str]:
        return [entry.name for entry in self.entries(kind)]

    def entry(self, kind: str, name: str) -> Entry | None:
        return next((one for one in self.entries(kind) if one.name == name), None)

    def word(self, kind: str, name: str) -> str:
        """What a command is given for this document: its name, or the path of a person's own."""
        entry = self.entry(kind, name)
        return str(entry.path) if entry and entry.own else name

    def save(self, kind: str, name: str, text: str) -> Path:
        """Check a document with its own model and keep it. Raises `BadInput`, nothing written."""
        if not NAME.fullmatch(name):
            raise BadInput(Fault(sentences.PAGE_BAD_NAME, name, expected=sentences.PAGE_NAME_FORM))
        check(kind, text)
        self.own.mkdir(parents=True, exist_ok=True)
        path = self.own / f"{kind}-{name}.toml"
        write_beside(path, text.replace("\r\n", "\n"))
        return path


def check(kind: str, text: str) -> Document:
    """The document that this text is. Raises `BadInput` with every fault."""
    return parse_document(MODELS[kind], text, kind)


def text_of(entry: Entry) -> str:
    return read_text(entry.path)
