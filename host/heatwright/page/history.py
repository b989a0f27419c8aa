"""What a source was learnt from: its measurements and marks, with the runs that they are."""

from __future__ import annotations

import datetime as dt
import hashlib
from collections.abc import Mapping
from functools import lru_cache
from pathlib import Path
from typing import Any, NamedTuple

from heatwright import sentences
from heatwright.errors import BadInput
from heatwright.records import folder
from heatwright.records.archive import Archive
from heatwright.records.facts import Facts

SHORT = 12


class Past(NamedTuple):
    """One thing that a source learnt; ``run`` is the id of its run, where that is still here."""

    what: str
    text: str
    run: str = ""


def history(out: Path, kind: str, data: Mapping[str, Any]) -> list[Past]:
    """When and from what a source was learnt, oldest first; ``data`` may be unsound."""
    if kind != "source":
        return []
    say, learnt = sentences.PAGE, data.get("learnt_on")
    runs = _runs(out) if data.get("learnt_from") or data.get("marked_from") else {}
    day = str(learnt) if isinstance(learnt, dt.date) else say["never_learnt"]
    return [
        Past(say["history_learnt"], day),
        Past(say["history_generation"], str(data.get("generation", 0))),
        *(_past(say["history_record"], one, runs) for one in _hashes(data, "learnt_from")),
        *(_past(say["history_marks"], one, runs) for one in _hashes(data, "marked_from")),
    ]


def _hashes(data: Mapping[str, Any], key: str) -> list[str]:
    found = data.get(key)
    return [str(one) for one in found] if isinstance(found, list) else []


def _past(what: str, record_hash: str, runs: Mapping[str, Facts]) -> Past:
    run = runs.get(record_hash)
    if run is None:
        return Past(what, sentences.PAGE["not_here"].format(hash=record_hash[:SHORT]))
    started = (run.started or run.id)[:16].replace("T", " ")
    return Past(what, f"{started}, {run.name or run.id}", run.id)


def _runs(out: Path) -> dict[str, Facts]:
    """The runs of the archive by the SHA-256 of their record."""
    try:
        runs = Archive(out).runs()
    except BadInput:
        # no folder yet is no run yet
        return {}
    return {_hash(out / run.id / folder.RECORD): run for run in runs}


def _hash(record: Path) -> str:
    try:
        at = record.stat()
        return _hash_of(record, at.st_mtime_ns, at.st_size)
    except OSError:
        return ""


@lru_cache(maxsize=4096)
def _hash_of(record: Path, mtime_ns: int, size: int) -> str:
    """Reading all records is slow; one that has not changed is read once."""
    return hashlib.sha256(record.read_bytes()).hexdigest()
