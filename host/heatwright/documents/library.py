"""Finds documents: a shipped one by its name, in any case and spelling, or a file by its path."""

from __future__ import annotations

import difflib
from pathlib import Path

from heatwright import assets, sentences
from heatwright.documents import alloys
from heatwright.documents.board import Board
from heatwright.documents.part import Part
from heatwright.documents.paste import Paste
from heatwright.documents.profile import Profile
from heatwright.documents.reading import read_document
from heatwright.documents.source import Source
from heatwright.errors import BadInput, Fault

# Which shipped folder holds which kind; a file's first part names the kind where they share one.
FOLDERS = {
    "paste": "pastes/*.toml",
    "profile": "reflow/*.toml",
    "source": "sources/*.toml",
    "board": "workshop/board-*.toml",
    "part": "workshop/part-*.toml",
}


def load_paste(name: str | Path) -> Paste:
    """A shipped paste by name (``sac305``, ``Sn96.5Ag3Cu0.5``), or a file. Raises `BadInput`."""
    return read_document(Paste, locate("paste", name))


def load_part(name: str | Path, beside: Path | None = None) -> Part:
    """A shipped part, or a file; a relative path counts from ``beside``. Raises `BadInput`."""
    return read_document(Part, locate("part", name, beside))


def load_board(name: str | Path) -> Board:
    """A shipped board, or a file. Raises `BadInput`."""
    return read_document(Board, locate("board", name))


def load_parts(board: Board, beside: Path | None = None) -> list[Part]:
    """The part of each placement of a board, in order. Raises `BadInput` with all faults."""
    parts: list[Part] = []
    faults: list[Fault] = []
    for placement in board.placements:
        try:
            parts.append(load_part(placement.part, beside))
        except BadInput as error:
            faults += [fault for fault in error.faults if fault not in faults]
    if faults:
        raise BadInput(*faults)
    return parts


def load_source(name: str | Path) -> Source:
    """A shipped source (``toaster``, ``hot-plate``), or a file. Raises `BadInput`."""
    return read_document(Source, locate("source", name))


def load_profile(name: str | Path) -> Profile:
    """A shipped profile, or a file. Raises `BadInput`."""
    return read_document(Profile, locate("profile", name))


def shipped(kind: str) -> dict[str, Path]:
    """The shipped documents of a kind, by name."""
    found = sorted(assets.profiles().glob(FOLDERS[kind]))
    return {path.stem.removeprefix(f"{kind}-"): path for path in found}


def locate(kind: str, name: str | Path, beside: Path | None = None) -> Path:
    """The file of a document. Raises `BadInput`, listing what there is, for an unknown name."""
    text = str(name)
    names = {alloys.plain(key): path for key, path in shipped(kind).items()}
    plain = _alloy_name(text) if kind in ("paste", "profile") else alloys.plain(text)
    if plain in names:
        return names[plain]
    if isinstance(name, Path) or "/" in text or text.casefold().endswith(".toml"):
        return (beside or Path()) / text
    raise BadInput(_unknown(kind, text))


def _alloy_name(text: str) -> str:
    """The name under which a paste of this alloy, and its profile, are shipped."""
    alloy = alloys.known(text)
    return alloys.plain((alloy.short or alloy.name) if alloy else text)


def _unknown(kind: str, name: str) -> Fault:
    names = list(shipped(kind))
    close = difflib.get_close_matches(name.casefold(), names, n=1, cutoff=0.5)
    hint = sentences.DID_YOU_MEAN.format(name=close[0]) + " " if close else ""
    return Fault(
        sentences.NO_SUCH_NAME.format(kind=kind),
        "",
        name,
        ", ".join(names),
        hint + sentences.NO_SUCH_NAME_CURE.format(kind=kind),
    )
