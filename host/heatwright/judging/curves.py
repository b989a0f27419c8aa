"""Times, areas and slopes of a curve, taken as straight lines between its samples.

Arrays are one-dimensional, times strictly rising, steps of any length, no NaN.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

# Least squares over a window of this many even steps; a record's own tick is 0.25 s of 10 s.
STEPS_IN_WINDOW = 40
# Data sheets and J-STD-020 count the time to peak from here.
ROOM_C = 25.0
# Four steps of a converter that counts in quarters of a degree.
NOISE_K = 1.0


def rms(values: Floats) -> float:
    """Root mean square."""
    return float(np.sqrt(np.mean(values**2)))


def _parts_above(time_s: Floats, value: Floats, threshold: float) -> tuple[Floats, Floats]:
    """Seconds of each piece that lie above the threshold, and the mean excess in them."""
    excess = value - threshold
    low, high = np.minimum(excess[:-1], excess[1:]), np.maximum(excess[:-1], excess[1:])
    crosses = (low < 0) & (high > 0)
    span = np.where(crosses, high - low, 1.0)
    share = np.where(crosses, high / span, (low >= 0) & (high > 0))
    return share * np.diff(time_s), np.where(crosses, high, low + high) / 2


def time_above(time_s: Floats, value: Floats, threshold: float) -> float:
    """Seconds above the threshold, all excursions together, crossings interpolated."""
    seconds, _ = _parts_above(time_s, value, threshold)
    return float(seconds.sum())


def area_above(time_s: Floats, value: Floats, threshold: float) -> float:
    """The integral of ``value - threshold`` where it is positive, in K s for temperatures."""
    seconds, excess = _parts_above(time_s, value, threshold)
    return float((seconds * excess).sum())


def first_reach(time_s: Floats, value: Floats, threshold: float) -> float | None:
    """The time at which the curve is first at or above the threshold; None if it never is."""
    at = np.flatnonzero(value >= threshold)
    if at.size == 0:
        return None
    index = int(at[0])
    if index == 0:
        return float(time_s[0])
    before, after = value[index - 1], value[index]
    share = (threshold - before) / (after - before)
    return float(time_s[index - 1] + share * (time_s[index] - time_s[index - 1]))


def until(time_s: Floats, value: Floats, end_s: float) -> tuple[Floats, Floats]:
    """The part of a curve up to and with this time."""
    kept = time_s <= end_s
    return time_s[kept], value[kept]


def slopes(time_s: Floats, value: Floats, window_s: float) -> tuple[Floats, Floats]:
    """Slope of the least-squares line over a window, by the time of the window's centre.

    Only whole windows count; a curve shorter than one has no slope, and both arrays are empty.
    """
    step_s = window_s / STEPS_IN_WINDOW
    count = int((time_s[-1] - time_s[0]) / step_s + 1e-9) + 1
    if count <= STEPS_IN_WINDOW:
        return np.empty(0), np.empty(0)
    even_s = time_s[0] + step_s * np.arange(count)
    half = STEPS_IN_WINDOW // 2
    arm = np.arange(-half, half + 1)
    weights = arm / (step_s * float((arm * arm).sum()))
    rates = np.correlate(np.interp(even_s, time_s, value), weights, mode="valid")
    return even_s[half : count - half], rates


@dataclass(frozen=True)
class Curve:
    """A board's curve with its peak and smoothed slopes (at ``rate_s``), made once, used often."""

    time_s: Floats
    board_c: Floats
    peak_c: float
    peak_s: float
    rate_s: Floats
    rate_c_per_s: Floats

    @property
    def still_rises(self) -> bool:
        """The record stops at its highest, within a reading's noise: the peak may still come."""
        return bool(self.board_c[-1] >= self.peak_c - NOISE_K)

    @property
    def to_peak(self) -> tuple[Floats, Floats]:
        return until(self.time_s, self.board_c, self.peak_s)

    @property
    def to_peak_s(self) -> float:
        """Seconds from 25 °C to the peak; a board that starts warmer counts from its start."""
        start_s = first_reach(self.time_s, self.board_c, ROOM_C)
        return self.peak_s - (float(self.time_s[0]) if start_s is None else start_s)

    def ends_above(self, threshold_c: float) -> bool:
        """The record stops while the board is this hot, or may still become so."""
        return bool(self.still_rises or self.board_c[-1] > threshold_c)

    def steepest(self, from_s: float, to_s: float, sign: int) -> tuple[float, float] | None:
        """The steepest rise (sign 1) or fall (-1) between two times, as (C/s, when); or None."""
        inside = np.flatnonzero((self.rate_s >= from_s) & (self.rate_s <= to_s))
        if inside.size == 0:
            return None
        at = inside[int(np.argmax(sign * self.rate_c_per_s[inside]))]
        return float(sign * self.rate_c_per_s[at]), float(self.rate_s[at])


def curve(time_s: Floats, board_c: Floats, window_s: float) -> Curve:
    """Find the peak and the slopes of a board's curve.

    Raises:
        ValueError: not two arrays of one length, time does not rise, or a value is missing.
    """
    if not (time_s.shape == board_c.shape and time_s.ndim == 1 and time_s.size >= 2):
        raise ValueError("a curve is two arrays of one length, two samples or more")
    if not (np.isfinite(board_c).all() and (np.diff(time_s) > 0).all()):
        raise ValueError("a curve's time rises and none of its temperatures is missing")
    top = int(np.argmax(board_c))
    return Curve(
        time_s, board_c, float(board_c[top]), float(time_s[top]), *slopes(time_s, board_c, window_s)
    )
