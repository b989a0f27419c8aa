"""A simulated course held against every window: the paste's, the parts', and that all melts."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from heatcore.limits import SENSOR_MAX_MC
from heatsim.plant import NODES
from heatwright import sentences
from heatwright.documents.jstd020 import Process, classification_c
from heatwright.judging.measures import measure
from heatwright.judging.windows import Limits, Measure, hold
from heatwright.planning.model import BOARD, LARGE, SMALL
from heatwright.planning.trajectory import Trajectory
from heatwright.planning.tuning import Floats
from heatwright.planning.wanted import Wanted

# A limit with one end has no width: so far from it is as good as the middle of a window.
ROOMY_K = 20.0
# Thickness and volume of the smallest packages, mm and mm3.
SMALLEST = (1.0, 1.0)
# The controller stops at its own limit, while cooling too; a source that varies stays this far off.
SENSOR_LIMIT_C, SENSOR_ROOM_K = SENSOR_MAX_MC / 1000, 10.0


def course_windows(found: Trajectory, wanted: Wanted) -> list[Measure]:
    """Every measure of a planned course; and that the sensor stays below the controller's limit."""
    highest_c = float(found.highest[NODES.index(wanted.reads)])
    sensor = sensor_window(highest_c, SENSOR_LIMIT_C - SENSOR_ROOM_K)
    return [*windows_of(found.fine_s, found.fine, wanted), sensor]


def sensor_window(highest_c: float, limit_c: float) -> Measure:
    """Above this the controller stops; a source that only coasts it takes for a fault."""
    limits = Limits(None, limit_c, sentences.NOT_TRIPPED, above="fail")
    return hold("sensor_peak", highest_c, "°C", limits)


def windows_of(time_s: Floats, states: Floats, wanted: Wanted) -> list[Measure]:
    """Every measure of a course; rows of ``states`` are `NODES` in C at the times ``time_s``."""
    board = measure(time_s, states[:, BOARD], wanted.paste, wanted.fitted)
    return [*board, *_parts(time_s, states, wanted)]


def bead_windows_of(time_s: Floats, states: Floats, wanted: Wanted) -> list[Measure]:
    """The same as a bead on the board would show it: the verdict is judged on that."""
    return measure(time_s, states[:, NODES.index("board_sensor")], wanted.paste)


def _parts(time_s: Floats, states: Floats, wanted: Wanted) -> Iterator[Measure]:
    """The largest part is the last to melt, the smallest the first to be too hot."""
    large, small = int(np.argmax(states[:, LARGE])), int(np.argmax(states[:, SMALL]))
    melts = Limits(wanted.paste.liquidus_c, None, sentences.MELTS_EVERYWHERE, below="fail")
    yield hold("large_part_peak", float(states[large, LARGE]), "°C", melts, float(time_s[large]))
    survives = Limits(None, _survives_c(wanted), sentences.SURVIVES, above="fail")
    yield hold("small_part_peak", float(states[small, SMALL]), "°C", survives, float(time_s[small]))


def _survives_c(wanted: Wanted) -> float:
    """The lowest limit of any part on the board, else what every package is classified for."""
    own = [one.part.limits.peak_c for one in wanted.fitted]
    process: Process = "tin_lead" if wanted.paste.contains_lead else "lead_free"
    return min(own, default=classification_c(process, *SMALLEST))


def share(m: Measure) -> float | None:
    """The margin as a share of the window: 0.5 in its middle, negative outside; None: no margin."""
    if m.margin is None:
        return None
    return m.margin / _width(m)


def _width(m: Measure) -> float:
    ends = [end for end in (m.low, m.high) if end is not None]
    if len(ends) == 2:
        return max(ends[1] - ends[0], 1e-9)
    return ROOMY_K if m.unit == "°C" else max(abs(ends[0]), 1e-9)


def is_decisive(m: Measure) -> bool:
    """Whether missing this window loses a joint, a part or the board, not only quality."""
    return m.status == "fail"


def is_missed(m: Measure) -> bool:
    return m.margin is not None and m.margin < 0
