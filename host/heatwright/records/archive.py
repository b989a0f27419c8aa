"""The archive: a folder a run, and an SQLite index that can be lost and made again.

The folders are the truth. Each listing looks at every folder's times and reads again what has
changed, so that no run has to tell the index of itself, and a run being recorded is listed too.
"""

from __future__ import annotations

import os
import sqlite3
import time
from collections.abc import Iterable, Iterator
from contextlib import closing, suppress
from dataclasses import astuple, dataclass, fields
from pathlib import Path

from heatwright import sentences
from heatwright.errors import BadInput, Fault
from heatwright.records import folder
from heatwright.records.facts import Facts, facts, stamp

INDEX, TRASH = ".index.sqlite", ".trash"
# Changed with the columns of Facts: an index of another version is made anew.
INDEX_VERSION = 1
# Another listing may be writing the index.
LOCK_WAIT_S = 5.0
# A record grows four times a second; one that has not for this long is not being written.
STILL_WRITTEN_S = 10.0
NO_VERDICT = "none"

# quoted: "on" is a word of SQL's own
COLUMNS = tuple(f'"{field.name}"' for field in fields(Facts))
TABLE = f"CREATE TABLE IF NOT EXISTS runs ({', '.join(COLUMNS)}, stamp, PRIMARY KEY (id))"
INSERT = f"INSERT OR REPLACE INTO runs VALUES ({', '.join('?' * (len(COLUMNS) + 1))})"
SELECT = f"SELECT {', '.join(COLUMNS)} FROM runs"


@dataclass(frozen=True)
class Wanted:
    """Which runs: text is found anywhere in a name, in any case; dates are ISO, both inclusive."""

    board: str | None = None
    paste: str | None = None
    source: str | None = None
    verdict: str | None = None
    since: str | None = None
    until: str | None = None


class Archive:
    """All runs in one folder (``heatwright run --out``, by default ``runs``)."""

    def __init__(self, root: Path) -> None:
        self.root = root

    def runs(self, wanted: Wanted | None = None) -> list[Facts]:
        """The runs, newest first. Raises `BadInput` where there is no such folder."""
        condition = _condition(wanted or Wanted())
        try:
            return self._listed(self.root / INDEX, condition)
        except sqlite3.OperationalError:
            # read-only, full or locked for long: then this listing keeps no index
            return self._listed(":memory:", condition)
        except sqlite3.DatabaseError:
            # damaged: the next listing makes it anew
            with suppress(OSError):
                (self.root / INDEX).unlink()
            return self._listed(":memory:", condition)

    def _listed(self, at: Path | str, condition: tuple[str, list[str]]) -> list[Facts]:
        where, values = condition
        with closing(_opened(at)) as index:
            self._refresh(index)
            rows = index.execute(f"{SELECT} WHERE {where} ORDER BY started DESC, id DESC", values)
            return [Facts(*row) for row in rows]

    def reindex(self) -> int:
        """Make the index anew from the folders alone; returns the number of runs."""
        self._ids()
        for name in (INDEX, f"{INDEX}-journal"):
            (self.root / name).unlink(missing_ok=True)
        return len(self.runs())

    def find(self, word: str) -> Path:
        """The folder of a run: by path, by id, or by a beginning that only one id has.

        Raises:
            BadInput: none or several; the nearest are named.
        """
        path = Path(word)
        if path.name == folder.RECORD or (path / folder.RECORD).is_file():
            return folder.record_in(path).parent
        ids = self._ids()
        fitting = [word] if word in ids else [one for one in ids if word and one.startswith(word)]
        if len(fitting) != 1:
            raise _not_one_run(self.root, word, fitting, ids)
        return self.root / fitting[0]

    def trash(self, ids: Iterable[str]) -> list[Path]:
        """Move runs into the trash folder; nothing is deleted. Returns where they are now."""
        return [self._move(self._trashable(word), self.root / TRASH) for word in ids]

    def restore(self, ids: Iterable[str]) -> list[Path]:
        """Move runs back out of the trash."""
        trash = Archive(self.root / TRASH)
        return [self._move(trash.find(word), self.root) for word in ids]

    def trashed(self) -> list[str]:
        """The ids of what lies in the trash."""
        trash = self.root / TRASH
        return Archive(trash)._ids() if trash.is_dir() else []

    def _trashable(self, word: str) -> Path:
        place = self.find(word)
        if place.resolve().parent != self.root.resolve():
            raise BadInput(Fault(sentences.RUN_ELSEWHERE, str(place), "", str(self.root)))
        if _is_being_written(place):
            cure = sentences.RUN_BEING_WRITTEN_CURE
            raise BadInput(Fault(sentences.RUN_BEING_WRITTEN, str(place), cure=cure))
        return place

    def _move(self, place: Path, to: Path) -> Path:
        target = to / place.name
        try:
            to.mkdir(exist_ok=True)
            if target.exists():
                raise BadInput(Fault(sentences.RUN_IN_THE_WAY, str(target)))
            os.rename(place, target)
        except OSError as error:
            raise BadInput(
                Fault(sentences.RUN_NOT_MOVED, str(place), str(error.strerror))
            ) from error
        return target

    def _ids(self) -> list[str]:
        """Every folder that may be a run, by name."""
        try:
            with os.scandir(self.root) as entries:
                names = [e.name for e in entries if not e.name.startswith(".") and e.is_dir()]
        except OSError as error:
            raise _no_archive(self.root, error) from error
        return sorted(names)

    def _refresh(self, index: sqlite3.Connection) -> None:
        known: dict[str, str] = dict(index.execute("SELECT id, stamp FROM runs"))
        present = {name: at for name in self._ids() if (at := stamp(self.root / name))}
        gone = [(name,) for name in known if name not in present]
        changed = [
            (*astuple(facts(self.root / name)), at)
            for name, at in present.items()
            if known.get(name) != at
        ]
        if gone or changed:
            index.executemany("DELETE FROM runs WHERE id = ?", gone)
            index.executemany(INSERT, changed)
            index.commit()


def _opened(at: Path | str) -> sqlite3.Connection:
    index = sqlite3.connect(at, timeout=LOCK_WAIT_S)
    try:
        if index.execute("PRAGMA user_version").fetchone()[0] != INDEX_VERSION:
            index.execute("DROP TABLE IF EXISTS runs")
            index.execute(f"PRAGMA user_version = {INDEX_VERSION}")
        index.execute(TABLE)
    except sqlite3.Error:
        index.close()
        raise
    return index


def _condition(wanted: Wanted) -> tuple[str, list[str]]:
    parts, values = ["1"], []
    for name in ("board", "paste", "source"):
        if text := getattr(wanted, name):
            parts.append(f"instr(lower({name}), lower(?))")
            values.append(text)
    if wanted.verdict == NO_VERDICT:
        parts.append("verdict IS NULL")
    elif wanted.verdict:
        parts.append("verdict = ?")
        values.append(wanted.verdict)
    for sign, day in ((">=", wanted.since), ("<=", wanted.until)):
        if day:
            parts.append(f"substr(started, 1, 10) {sign} ?")
            values.append(day)
    return " AND ".join(parts), values


def _is_being_written(place: Path) -> bool:
    if (place / folder.VERDICT).exists():
        return False
    try:
        return time.time() - os.stat(place / folder.RECORD).st_mtime < STILL_WRITTEN_S
    except OSError:
        return False


def _near(word: str, ids: list[str]) -> Iterator[str]:
    yield from [one for one in ids if word and word in one][:5] or ids[-5:]


def _not_one_run(root: Path, word: str, fitting: list[str], ids: list[str]) -> BadInput:
    what = sentences.RUN_SEVERAL if fitting else sentences.RUN_UNKNOWN
    near = ", ".join(fitting[:5] or _near(word, ids)) or "no run at all"
    return BadInput(Fault(what.format(word=word), str(root), near, cure=sentences.RUN_UNKNOWN_CURE))


def _no_archive(root: Path, error: OSError) -> BadInput:
    return BadInput(
        Fault(
            sentences.NO_ARCHIVE,
            str(root),
            str(error.strerror),
            sentences.NO_ARCHIVE_EXPECTED,
            sentences.NO_ARCHIVE_CURE,
        )
    )
