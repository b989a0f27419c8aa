"""The board's temperature, as far as the person who ran it could know it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from heatwright.documents.bench import Bench
from heatwright.documents.paste import Paste
from heatwright.documents.source import Source
from heatwright.judging.curves import ROOM_C, Floats
from heatwright.judging.ending import is_sensor_doubted
from heatwright.judging.estimate import Estimated, Hidden, estimate
from heatwright.records.melt_marks import marks_of
from heatwright.records.reader import Record

# Places of a sensor, in the words of the source document, where it has the board's temperature.
ON_THE_BOARD = frozenset({"on_board", "scrap_board"})
# A run by the clock and by eye: nothing but marks of the melt tells of its board.
NO_SENSOR = "none"
# Tolerance of new class 2 type K wire to 333 C (IEC 60584), and of a front end's cold junction
# (MAX31855 data sheet, 2 K from -20 to 85 C); added up, so that a pass is sure within both.
WIRE_TOLERANCE_K, JUNCTION_TOLERANCE_K = 2.5, 2.0
BEAD_TOLERANCE_K = WIRE_TOLERANCE_K + JUNCTION_TOLERANCE_K
# Heat from below: a bead under tape on top is cooled by the room's air, on the simulated sand and
# plate by 5 to 8 K at the peak. In an oven the air around it is as hot as the board.
COOLED_BEAD_K = {"sand": 5.0, "hot-plate": 5.0}
# Longer silence of the sensor could hide a whole time above liquidus.
GAP_MAX_S = 5.0
# In one tick of 0.25 s no board gets so much hotter or colder: it would be 20 C/s.
GLITCH_K = 5.0
# A band this many times as wide as the peak's window tells no more than a guess would.
WIDEST_BAND_IN_WINDOWS = 2.0


@dataclass(frozen=True)
class Board:
    """Board temperature over time, where it comes from and how far it may be off.

    ``members`` are curves as likely as ``board_c``, each of its shape; without them the board may
    lie anywhere within ``tolerance_k``, and the error may drift from one end of that to the other
    between room and peak.
    """

    time_s: Floats
    board_c: Floats
    origin: str
    tolerance_k: float
    members: tuple[Floats, ...] = ()

    @property
    def others(self) -> tuple[Floats, ...]:
        """Curves that the board may have had just as well; limits must hold on each."""
        if self.members:
            return self.members
        span_k = max(float(self.board_c.max()) - ROOM_C, 1.0)
        tilt = np.clip(2.0 * (self.board_c - ROOM_C) / span_k - 1.0, -1.0, 1.0)
        errors = (np.ones_like(tilt), -np.ones_like(tilt), tilt, -tilt)
        return tuple(self.board_c + self.tolerance_k * error for error in errors)


@dataclass(frozen=True)
class Unknown:
    """Why the board's temperature is not known; ``reason`` names a sentence."""

    reason: str
    at_s: float | None = None
    for_s: float | None = None
    low_c: float | None = None
    high_c: float | None = None


def known_board(
    record: Record, bench: Bench | None = None, source: Source | None = None
) -> Board | Unknown:
    """The board as a bead on it measured it, else as estimated on the source's model.

    Never the simulated truth. An air sensor alone does not tell: the board's peak lies 7 to 26 K
    (one sd) from what an uncalibrated source would make of it, more than any window is wide.
    """
    if record.header.get("placing") == NO_SENSOR:
        return _by_eye(record, bench, source)
    if is_sensor_doubted(record):
        return Unknown("doubted")
    reading_c = _bead(record)
    if reading_c is None:
        return _estimated(record, bench, source) if bench and source else Unknown("air")
    found = _heard(record, reading_c)
    if isinstance(found, Unknown):
        return found
    time_s, board_c = found
    return Board(time_s, board_c, "measured", bead_tolerance_k(record.header.get("kind")))


def bead_tolerance_k(kind: object) -> float:
    """How far a bead on the board may be off on this kind of source, K."""
    return BEAD_TOLERANCE_K + COOLED_BEAD_K.get(str(kind), 0.0)


def _bead(record: Record) -> Floats | None:
    if record.header.get("placing") in ON_THE_BOARD:
        return record.sensor_c
    if record.header.get("second_placing") in ON_THE_BOARD:
        return record.second_c
    return None


def _heard(record: Record, reading_c: Floats) -> tuple[Floats, Floats] | Unknown:
    """Times and readings without gaps and glitches, or why there is no such thing."""
    good = np.isfinite(reading_c)
    if int(good.sum()) < 2:
        return Unknown("silent")
    time_s = record.time_s[good]
    gap = int(np.argmax(np.diff(time_s)))
    gap_s = float(time_s[gap + 1] - time_s[gap])
    if gap_s > GAP_MAX_S:
        return Unknown("gap", float(time_s[gap]), gap_s)
    return time_s, _without_glitches(reading_c[good])


def _without_glitches(reading_c: Floats) -> Floats:
    """One wild reading between two good ones is no peak: it becomes the middle of the three."""
    middle = np.median([reading_c[:-2], reading_c[1:-1], reading_c[2:]], axis=0)
    middle = np.concatenate([reading_c[:1], middle, reading_c[-1:]])
    return np.where(np.abs(reading_c - middle) > GLITCH_K, middle, reading_c)


def _estimated(record: Record, bench: Bench, source: Source) -> Board | Unknown:
    """The board on the fitted model, where that tells more than a guess."""
    heard = _heard(record, record.sensor_c)
    if isinstance(heard, Unknown):
        return heard
    found = estimate(record, heard, bench, source)
    if isinstance(found, Hidden):
        return Unknown(found.reason)
    return _narrow_enough(found, bench.paste)


def _by_eye(record: Record, bench: Bench | None, source: Source | None) -> Board | Unknown:
    """The board on the fitted model from where the knob was and the melts that were seen."""
    if not (bench and source and marks_of(record)):
        return Unknown("unseen")
    found = estimate(record, None, bench, source)
    return (
        Unknown(found.reason) if isinstance(found, Hidden) else _narrow_enough(found, bench.paste)
    )


def _narrow_enough(found: Estimated, paste: Paste) -> Board | Unknown:
    peaks_c = [float(member.max()) for member in found.members]
    window = paste.window.peak_c
    if max(peaks_c) - min(peaks_c) > WIDEST_BAND_IN_WINDOWS * (window.high - window.low):
        return Unknown("vague", low_c=min(peaks_c), high_c=max(peaks_c))
    tolerance_k = (max(peaks_c) - min(peaks_c)) / 2.0
    return Board(found.time_s, found.board_c, "estimated", tolerance_k, found.members)
