"""From marks to a better source: melts as fixed points, and what they change."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from heatsim.plant import STEP_S
from heatwright import sentences
from heatwright.documents import Paste, Source, alloys, load_paste
from heatwright.errors import BadInput, Fault
from heatwright.judging.melting import Melt
from heatwright.measuring import band, candidate
from heatwright.measuring.fitting import Solution, melt_residual, melt_sd_k, solve
from heatwright.measuring.measurement import Measurement, from_record
from heatwright.measuring.parameters import of_learnt
from heatwright.records import folder
from heatwright.records.melt_marks import Mark, marks_of
from heatwright.records.reader import Record

# A mark further from what the model expects than this is asked about before it is believed.
DOUBTED_SD = 3.0


@dataclass(frozen=True)
class Doubt:
    """A mark and how far it lies from what was expected without it, in standard deviations."""

    melt: Melt
    expected_c: float
    sds: float


def marked_run(source: Source, record: Record, extra: Sequence[Mark] = ()) -> Measurement:
    """A run with its marks as melts; marks that the source was learnt from are not new any more.

    Raises `BadInput` where an alloy is not known.
    """
    run = from_record(record)
    melts = [melt_of(record, mark) for mark in (*marks_of(record), *extra)]
    new = (melt for melt in melts if not candidate.knows(source, run.sha256, melt))
    return replace(run, melts=tuple(new))


def known_melts(source: Source, record: Record, sha256: str) -> list[Melt]:
    """The melts that stand in the run of this hash and that the source was taught already."""
    melts = [melt_of(record, mark) for mark in marks_of(record)]
    return [melt for melt in melts if candidate.knows(source, sha256, melt)]


def melt_of(record: Record, mark: Mark) -> Melt:
    """A mark with the melting range of its alloy, or of the paste that the run was made with."""
    alloy = alloys.known(mark.alloy) if mark.alloy else None
    if alloy:
        solidus_c, liquidus_c, name = alloy.solidus_c, alloy.liquidus_c, alloy.short or alloy.name
    else:
        paste = _paste_of(record.path, mark)
        solidus_c, liquidus_c, name = paste.solidus_c, paste.liquidus_c, paste.alloy
    return Melt(mark.time_s, mark.seen, solidus_c, liquidus_c, name, mark.forced)


def _paste_of(record: Path, mark: Mark) -> Paste:
    paste = record.parent / folder.PASTE
    if not mark.alloy and paste.is_file():
        return load_paste(paste)
    known = ", ".join(one.short or one.name for one in alloys.ALLOYS)
    raise BadInput(Fault(sentences.ALLOY_NOT_KNOWN, "--alloy", mark.alloy, known))


def doubts(source: Source, run: Measurement) -> list[Doubt]:
    """Each mark that contradicts what this run's own sensor and the file lead to expect."""
    before = refit(source, [replace(run, melts=())])
    states = before.states()
    found = []
    for melt in run.melts:
        row = min(round(melt.at_s / STEP_S), len(states) - 1)
        mark_k = melt_sd_k(states, melt)
        sd_k = float(np.hypot(band.known_sd(before, melt.node)[row], mark_k))
        sds = melt_residual(states, melt) * mark_k / sd_k
        if abs(sds) > DOUBTED_SD:
            found.append(Doubt(melt, float(states[row, melt.node]), sds))
    return found


def refit(source: Source, runs: Sequence[Measurement]) -> Solution:
    """The Bayesian update of a source by runs with marks.

    What the file was learnt from already is not counted twice: of such a run only its marks are
    new. One run after the other comes to the same as all of them at once.
    """
    known = set(source.learnt_from)
    return solve(
        of_learnt(source),
        runs,
        starts=1,
        marks_only=[run.sha256 in known for run in runs],
        marked_before=len(source.marked_from),
    )
