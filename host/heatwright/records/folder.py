"""A run's folder: the record, its documents copied in, the verdict and the picture.

Replay and judging need nothing that is not in it.
"""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Mapping
from datetime import datetime
from itertools import count
from pathlib import Path

from heatwright import sentences
from heatwright.errors import BadInput, Fault

RECORD, PLAN, VERDICT, PICTURE = "record.txt", "plan.json", "verdict.json", "curve.png"
PASTE, PROFILE, SOURCE, BOARD = "paste.toml", "profile.toml", "source.toml", "board.toml"
PARTS, NOTES = "parts.toml", "notes.toml"
# Long enough to tell runs apart, short enough for every file system.
NAME_LENGTH = 40


def make(out: Path, name: str, started: datetime) -> Path:
    """Make the folder of a new run in ``out``, its id made of the time and the name.

    Two runs begun in the same second get folders of their own.

    Raises:
        BadInput: ``out`` can't be written to.
    """
    stem = f"{started:%Y%m%d-%H%M%S}-{_plain(name)}"
    for number in count(1):
        folder = out / (stem if number == 1 else f"{stem}-{number}")
        try:
            folder.mkdir(parents=True)
        except FileExistsError as error:
            if not folder.is_dir():
                raise _unwritable(folder, error) from error
            continue
        except OSError as error:
            raise _unwritable(folder, error) from error
        return folder
    raise AssertionError("count() does not end")


def _plain(name: str) -> str:
    plain = re.sub(r"[^a-z0-9]+", "-", name.lower()).strip("-")
    return plain[:NAME_LENGTH].rstrip("-") or "run"


def _unwritable(folder: Path, error: OSError) -> BadInput:
    return BadInput(
        Fault(
            sentences.NO_RUN_FOLDER,
            str(folder),
            str(error.strerror),
            sentences.WRITABLE_FOLDER,
            sentences.OTHER_OUT,
        )
    )


def put(folder: Path, name: str, data: bytes) -> str:
    """Write one file of a run, whole or not at all; returns its SHA-256 for the header."""
    # the documents bring pydantic with them: a list of runs need not wait for it
    from heatwright.documents.writing import write_beside

    write_beside(folder / name, data)
    return hashlib.sha256(data).hexdigest()


def put_json(folder: Path, name: str, values: Mapping[str, object]) -> str:
    """Write one JSON file of a run; NaN is refused, since JSON has none."""
    text = json.dumps(values, indent=2, allow_nan=False, ensure_ascii=False)
    return put(folder, name, (text + "\n").encode())


def record_in(path: Path) -> Path:
    """The record file that a person's RECORD stands for: the file itself or that of a folder.

    Raises:
        BadInput: there is no such file or folder, or the folder holds no record.
    """
    record = path / RECORD if path.is_dir() else path
    if record.is_file():
        return record
    if path.is_dir():
        raise BadInput(
            Fault(
                sentences.NO_RECORD_IN_FOLDER.format(record=RECORD),
                str(path),
                _contents(path),
                sentences.RUN_FOLDER,
                sentences.NAME_ONE_RUN,
            )
        )
    raise BadInput(
        Fault(
            sentences.NO_SUCH_RECORD,
            str(path),
            sentences.NOT_A_FILE if path.exists() else sentences.NOTHING_OF_THIS_NAME,
            sentences.A_RECORD,
            sentences.NO_SUCH_RECORD_CURE,
        )
    )


def _contents(path: Path) -> str:
    names = sorted(entry.name for entry in path.iterdir())
    return (
        ", ".join(names[:5]) + (" ..." if len(names) > 5 else "")
        if names
        else sentences.EMPTY_FOLDER
    )
