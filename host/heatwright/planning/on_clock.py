"""The record of a run on the clock of the plan that it ran, which stands while the plan waits."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from heatwright.judging.board import ON_THE_BOARD
from heatwright.planning.learning import Ran
from heatwright.records.lines import WAITING
from heatwright.records.melt_marks import marks_of
from heatwright.records.reader import Record
from heatwright.records.units import Floats


def clock_s(record: Record) -> Floats:
    """The plan's own clock at each sample: it stands while the plan waits."""
    runs = ~np.isin(record.raw["note"], WAITING)
    steps = np.diff(record.time_s, prepend=record.time_s[0] - 0.25)
    found = np.cumsum(steps * runs)
    return np.asarray(found - found[0], dtype=np.float64)


def board_c(record: Record) -> Floats | None:
    """What the bead on the board read, whichever sensor that was; None where there was none."""
    for key, values in (("placing", record.sensor_c), ("second_placing", record.second_c)):
        if record.header.get(key) in ON_THE_BOARD and np.isfinite(values).sum() > 1:
            return values
    return None


def ran(record: Record) -> Ran:
    """A run on the plan's own clock, a value a second; NaN where nobody knew the board."""
    at_s = clock_s(record)
    moves = np.append(True, np.diff(at_s) > 0)
    seconds = np.arange(int(at_s[-1]) + 1, dtype=np.float64)

    def on_clock(values: Floats) -> Floats:
        good = moves & np.isfinite(values)
        return np.asarray(np.interp(seconds, at_s[good], values[good]), dtype=np.float64)

    bead_c = board_c(record)
    unknown = np.full(len(seconds), np.nan)
    known = unknown if bead_c is None else on_clock(bead_c)
    return Ran(on_clock(record.duty), on_clock(record.sensor_c), known)


def mean(runs: Sequence[Ran]) -> Ran:
    """Several runs of one plan as one, as long as the shortest."""
    length = min(len(one.duty) for one in runs)
    columns = ("duty", "sensor_c", "board_c")
    return Ran(*(np.mean([getattr(r, c)[:length] for r in runs], axis=0) for c in columns))


def melts_s(record: Record) -> list[float]:
    """When a person saw solder melt, on the plan's clock."""
    seen_s = [mark.time_s for mark in marks_of(record) if mark.seen != "not_melted"]
    return [float(np.interp(at_s, record.time_s, clock_s(record))) for at_s in seen_s]
