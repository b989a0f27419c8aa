"""How far a loop is from ringing: margins from its frequency response (SciPy)."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from heatcore.limits import TICK_MS
from heatwright.planning.response import Complexes, Linear
from heatwright.planning.tuning import Floats, Gains

# A reading is half a tick old, the duty stands for a tick: half of one each, and one to answer.
TICKS_LATE = 1.5
LOOP_DELAY_S = TICKS_LATE * TICK_MS / 1000
FREQUENCIES = np.geomspace(1e-3, 6.0, 600)


@dataclass(frozen=True)
class Margins:
    """``gain`` as a factor, ``phase_deg``, the delay it bears more, and Ms, the peak of 1/|1+L|."""

    gain: float
    phase_deg: float
    delay_s: float
    ms: float


def regulator(gains: Gains, frequencies: Floats = FREQUENCIES) -> Complexes:
    """The core's PID at these angular frequencies, duty 0..1 a K."""
    s = 1j * frequencies
    derivative = gains.derivative_s * s / (gains.filter_s * s + 1.0)
    found = gains.duty_per_k * (1.0 + 1.0 / (gains.integral_s * s) + derivative)
    return np.asarray(found, dtype=np.complex128)


def late(delay_s: float = LOOP_DELAY_S) -> Complexes:
    """The delay of a tick."""
    found: Complexes = np.exp(-1j * FREQUENCIES * delay_s)
    return found


def open_loop(linear: Linear, gains: Gains, delay_s: float = LOOP_DELAY_S) -> Complexes:
    """Source, controller and the delay of a tick in series."""
    found: Complexes = linear.at(FREQUENCIES) * regulator(gains) * late(delay_s)
    return found


def margins(loop: Complexes) -> Margins:
    """Margins of an open loop given at `FREQUENCIES`; infinite where it never gets so far."""
    phase = np.unwrap(np.angle(loop))
    size = np.log(np.abs(loop))
    phase += -2 * np.pi * round(float((phase[0] + np.pi / 2) / (2 * np.pi)))
    turned = _falls_through(phase, -np.pi)
    crossed = _falls_through(size, 0.0)
    gain = np.inf if turned is None else float(np.exp(-_at(size, turned)))
    if crossed is None:
        return Margins(gain, np.inf, np.inf, _ms(loop))
    left = np.pi + _at(phase, crossed)
    rate = float(np.exp(_at(np.log(FREQUENCIES), crossed)))
    return Margins(gain, float(np.degrees(left)), float(left / rate), _ms(loop))


def _ms(loop: Complexes) -> float:
    return float(np.max(1.0 / np.abs(1.0 + loop)))


def _falls_through(values: Floats, level: float) -> float | None:
    """The place (a fractional index) where a curve first falls through a level."""
    below = np.flatnonzero((values[:-1] >= level) & (values[1:] < level))
    if not below.size:
        return None
    i = int(below[0])
    return i + float((values[i] - level) / (values[i] - values[i + 1]))


def _at(values: Floats, place: float) -> float:
    return float(np.interp(place, np.arange(len(values)), values))
