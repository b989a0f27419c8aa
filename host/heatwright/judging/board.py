"""The board's temperature, as far as the person who ran it could know it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from heatwright.judging.curves import Floats
from heatwright.records.reader import Record

# Places of a sensor, in the words of the source document, where it has the board's temperature.
ON_THE_BOARD = frozenset({"on_board", "scrap_board"})
# Tolerance of new class 2 type K wire to 333 C, IEC 60584: 2.5 K.
BEAD_TOLERANCE_K = 2.5
# Longer silence of the sensor could hide a whole time above liquidus.
GAP_MAX_S = 5.0
# In one tick of 0.25 s no board gets so much hotter or colder: it would be 20 C/s.
GLITCH_K = 5.0


@dataclass(frozen=True)
class Board:
    """Board temperature over time, where it comes from and how far it may be off."""

    time_s: Floats
    board_c: Floats
    origin: str
    tolerance_k: float


@dataclass(frozen=True)
class Unknown:
    """Why the board's temperature is not known; ``reason`` names a sentence."""

    reason: str
    at_s: float | None = None
    for_s: float | None = None


def known_board(record: Record) -> Board | Unknown:
    """The board as measured by a bead on it or on a scrap board; never the simulated truth.

    An air sensor does not tell: the board's peak lies 7 to 26 K (one sd) from what an
    uncalibrated source would make of it, more than any paste's window is wide.
    """
    reading_c = _bead(record)
    if reading_c is None:
        return Unknown("air")
    good = np.isfinite(reading_c)
    if int(good.sum()) < 2:
        return Unknown("silent")
    time_s, board_c = record.time_s[good], _without_glitches(reading_c[good])
    gap = int(np.argmax(np.diff(time_s)))
    gap_s = float(time_s[gap + 1] - time_s[gap])
    if gap_s > GAP_MAX_S:
        return Unknown("gap", float(time_s[gap]), gap_s)
    return Board(time_s, board_c, "measured", BEAD_TOLERANCE_K)


def _bead(record: Record) -> Floats | None:
    if record.header.get("placing") in ON_THE_BOARD:
        return record.sensor_c
    if record.header.get("second_placing") in ON_THE_BOARD:
        return record.second_c
    return None


def _without_glitches(reading_c: Floats) -> Floats:
    """One wild reading between two good ones is no peak: it becomes the middle of the three."""
    middle = np.median([reading_c[:-2], reading_c[1:-1], reading_c[2:]], axis=0)
    middle = np.concatenate([reading_c[:1], middle, reading_c[-1:]])
    return np.where(np.abs(reading_c - middle) > GLITCH_K, middle, reading_c)
