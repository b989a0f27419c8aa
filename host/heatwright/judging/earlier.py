"""Earlier runs of the same board: the same bad joint under different heat is no matter of heat."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import NamedTuple

from heatwright import sentences
from heatwright.documents.board import Board
from heatwright.documents.library import load_board
from heatwright.errors import BadInput
from heatwright.judging.joints import Joint, seen
from heatwright.records import folder

# Peaks this far apart are different heat: twice what a bead may be off.
DIFFERENT_K = 9.0
# more than this many runs back another stencil and another paste are likely
MOST_RUNS = 50


class Repeated(NamedTuple):
    """A joint that looked the same in several runs, whose peaks lay between these."""

    joint: Joint
    times: int
    low_c: float
    high_c: float

    @property
    def sentence(self) -> str:
        return sentences.SAME_AGAIN.format(
            ref=self.joint.ref,
            state=self.joint.state.replace("_", " "),
            count=self.times,
            low=f"{self.low_c:.0f} °C",
            high=f"{self.high_c:.0f} °C",
        )


class Earlier(NamedTuple):
    """Another run of the same board: what was seen on it, and its peak."""

    joints: tuple[Joint, ...]
    peak_c: float


def earlier(run: Path, board: Board | None) -> list[Earlier]:
    """The other runs beside this one, of a board of the same name, with notes and a peak."""
    if board is None:
        return []
    beside = [one for one in run.resolve().parent.iterdir() if (one / folder.NOTES).is_file()]
    others = sorted((one for one in beside if one != run.resolve()), reverse=True)[:MOST_RUNS]
    return [found for one in others for found in _read(one, board)]


def _read(run: Path, board: Board) -> Iterator[Earlier]:
    """One run, or none where a file of it is missing or can't be read: it is no evidence then."""
    try:
        same = load_board(run / folder.BOARD).name == board.name
        joints = seen(run).joints
        verdict = json.loads((run / folder.VERDICT).read_text(encoding="utf-8"))
    except (BadInput, OSError, ValueError):
        return
    peak_c = verdict.get("peak_board_c") if isinstance(verdict, dict) else None
    if same and isinstance(peak_c, int | float):
        yield Earlier(joints, float(peak_c))


def repeated(
    joints: Sequence[Joint], peak_c: float | None, others: Sequence[Earlier]
) -> list[Repeated]:
    """Bad joints that looked the same before, under heat that differed."""
    found = []
    for joint in joints if peak_c is not None else ():
        peaks_c = [one.peak_c for one in others if joint in one.joints]
        peaks_c.append(peak_c or 0.0)
        if len(peaks_c) > 1 and max(peaks_c) - min(peaks_c) >= DIFFERENT_K:
            found.append(Repeated(joint, len(peaks_c), min(peaks_c), max(peaks_c)))
    return found
