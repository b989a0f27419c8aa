"""The documents of a run: those in its folder, unless the person names others."""

from __future__ import annotations

from pathlib import Path
from typing import NamedTuple

from heatwright import sentences
from heatwright.documents.bench import Bench, load_bench
from heatwright.documents.library import load_paste, load_source
from heatwright.documents.parts_file import kept_bench
from heatwright.documents.paste import Paste
from heatwright.documents.source import Source
from heatwright.errors import BadInput, Fault
from heatwright.judging.verdict import Verdict, judge
from heatwright.records import folder
from heatwright.records.reader import Record


class Kept(NamedTuple):
    """What a run is judged with."""

    bench: Bench
    source: Source | None

    def judge(self, record: Record) -> Verdict:
        return judge(record, self.bench, self.source)


def kept(
    run: Path, paste: str | None = None, board: str | None = None, source: str | None = None
) -> Kept:
    """The documents in the folder ``run``; each name given replaces one. Raises `BadInput`."""
    chosen = _paste(run, paste)
    return Kept(_bench(run, chosen, board), _source(run, source))


def _paste(run: Path, name: str | None) -> Paste:
    if name is not None:
        return load_paste(name)
    own = run / folder.PASTE
    if own.is_file():
        return load_paste(own)
    raise BadInput(
        Fault(
            what=sentences.NO_PASTE_IN_FOLDER,
            where=str(run),
            expected=sentences.PASTE_IN_FOLDER.format(paste=folder.PASTE),
            cure=sentences.PASTE_IN_FOLDER_CURE,
        )
    )


def _bench(run: Path, paste: Paste, name: str | None) -> Bench:
    if name is not None:
        return load_bench(paste, name)
    own = run / folder.BOARD
    return kept_bench(paste, own, run / folder.PARTS) if own.is_file() else Bench(paste)


def _source(run: Path, name: str | None) -> Source | None:
    if name is not None:
        return load_source(name)
    own = run / folder.SOURCE
    return load_source(own) if own.is_file() else None
