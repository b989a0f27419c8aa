"""The documents at hand: those shipped, read only, and the person's own in one folder."""

from __future__ import annotations

import hashlib
import re
import tomllib
from dataclasses import dataclass
from pathlib import Path

from heatwright import sentences
from heatwright.documents import library
from heatwright.documents.base import Document, dotted
from heatwright.documents.reading import parse_document, read_text
from heatwright.documents.schema import MODELS
from heatwright.documents.writing import write_beside
from heatwright.errors import BadInput, Fault
from heatwright.page.placed_parts import parts_not_there, parts_there

# In the order in which a person meets them.
KINDS = ("paste", "board", "part", "source", "profile")
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
        named = [(path.stem.removeprefix(f"{kind}-"), path) for path in found]
        # what waits to be accepted has a dot in its name, and is no document yet
        mine = [Entry(kind, name, path, True) for name, path in named if "." not in name]
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

    def suggested(self) -> dict[str, list[str]]:
        """What there is to be named in a document, by the key that names it."""
        return {"part": parts_there(self.own), "paste": self.names("paste")}

    def path_for(self, kind: str, name: str) -> Path:
        """Where a document of this name is kept. Raises `BadInput` for what is no name."""
        if not NAME.fullmatch(name):
            expected = sentences.PAGE_NAME_FORM
            raise BadInput(Fault(sentences.PAGE_BAD_NAME, "", name, expected))
        return self.own / f"{kind}-{name}.toml"

    def free_path(self, kind: str, name: str) -> Path:
        """The same, of a name that no document of this kind has yet. Raises `BadInput`."""
        path = self.path_for(kind, name)
        if self.entry(kind, name):
            cure = sentences.PAGE_NAME_TAKEN_CURE
            raise BadInput(Fault(sentences.PAGE_NAME_TAKEN, "", name, cure=cure))
        return path

    def copy(self, entry: Entry, name: str) -> Path:
        """A copy of a document, word for word, under a name that is free. Raises `BadInput`."""
        path = self.free_path(entry.kind, name)
        self.keep(path, text_of(entry))
        return path

    def save(self, kind: str, path: Path, text: str) -> None:
        """Check a document with its own model and keep it. Raises `BadInput`, nothing written."""
        self.check(kind, text)
        self.keep(path, text)

    def check(self, kind: str, text: str) -> None:
        """Raise `BadInput` with every fault of a text: of its own, then parts that are nowhere."""
        check(kind, text)
        clashes = parts_not_there(kind, tomllib.loads(text), self.own)
        if clashes:
            raise BadInput(*(Fault(c.what, dotted(c.path), *c[2:]) for c in clashes))

    def keep(self, path: Path, text: str) -> None:
        """Written beside and renamed; the folder is made where there is none yet."""
        self.own.mkdir(parents=True, exist_ok=True)
        write_beside(path, text.replace("\r\n", "\n"))


def check(kind: str, text: str) -> Document:
    """The document that this text is. Raises `BadInput` with every fault."""
    return parse_document(MODELS[kind], text, kind)


def text_of(entry: Entry) -> str:
    return read_text(entry.path)


def mark_of(text: str) -> str:
    """Tells whether a file still is what a form was made from."""
    return hashlib.sha256(text.encode()).hexdigest()[:16]
