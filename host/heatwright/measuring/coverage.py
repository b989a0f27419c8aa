"""What was not tried: each thing that a run leaves a guess, in words."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path

import numpy as np

from heatwright import sentences
from heatwright.documents import Source
from heatwright.documents.source import SET_UP
from heatwright.measuring.measurement import BOARD_BEAD, Measurement
from heatwright.records import folder
from heatwright.records.reader import read as read_record

# Power goes with duty: sand is measured at two thirds of it, which tells its strength as well.
STRONG_DUTY = 0.6
DOOR_OPEN, DOOR_S = 0.5, 20.0
COAST_S, COAST_C = 20.0, 100.0
# Above this the solder is not far; below it radiation is still small.
HOT_C = 200.0


def not_tried(runs: Sequence[Measurement]) -> list[str]:
    """A sentence for each thing that none of these runs did."""
    checks = (
        (_strong_heat, sentences.NOT_STRONG),
        (_coasted, sentences.NOT_COASTED),
        (_door_opened, sentences.NOT_OPENED),
        (_board_known, sentences.NOT_ON_BOARD),
    )
    said = [sentence for check, sentence in checks if not any(check(run) for run in runs)]
    highest_c = max(float(np.nanmax(run.readings[run.channel])) for run in runs)
    return [*said, *([] if highest_c >= HOT_C else [sentences.NOT_HOT.format(highest=highest_c)])]


def _strong_heat(run: Measurement) -> bool:
    return bool(run.duty.max() >= STRONG_DUTY)


def _coasted(run: Measurement) -> bool:
    hot = run.readings[run.channel][:-1] > COAST_C
    return bool((hot & (run.duty < 0.01) & (run.door < DOOR_OPEN)).sum() * 0.25 >= COAST_S)


def _door_opened(run: Measurement) -> bool:
    hot = run.readings[run.channel][:-1] > COAST_C
    return bool((hot & (run.door >= DOOR_OPEN)).sum() * 0.25 >= DOOR_S)


def _board_known(run: Measurement) -> bool:
    """By a bead on it, or by its solder."""
    return BOARD_BEAD in run.readings or bool(run.melts)


def moved(source: Source, runs: Sequence[Measurement]) -> Iterator[str]:
    """A sentence for each part of the set-up that a run had otherwise than the file says.

    The model holds for one set-up only; a run whose header does not carry it says nothing.
    """
    for run in runs:
        yield from _moved(source, run.name, run.header)


def no_longer_holds(source: Source, runs: Path) -> list[str]:
    """The same of the runs that the file was learnt from, as far as they lie in this folder."""
    learnt_from = {*source.learnt_from, *source.marked_from}
    found: list[str] = []
    for path in sorted(runs.glob(f"*/{folder.RECORD}")) if learnt_from else []:
        if hashlib.sha256(path.read_bytes()).hexdigest() in learnt_from:
            found += _moved(source, path.parent.name, read_record(path).header)
    return found


def _moved(source: Source, run: str, header: Mapping[str, object]) -> Iterator[str]:
    for key in SET_UP:
        had, says = header.get(key), getattr(source, key)
        if had is not None and not _same(had, says):
            yield sentences.SET_UP_MOVED.format(run=run, key=key, had=had, says=says)


def _same(had: object, says: object) -> bool:
    """Headers hold texts cut to a line's length, and whole numbers."""
    return bool(had) == says if isinstance(says, bool) else str(says).startswith(str(had))
