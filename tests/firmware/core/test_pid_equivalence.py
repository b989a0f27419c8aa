"""The integer PID is the textbook's, within what its integers cannot tell.

Textbook: u = ff + kp e + ki sum(e dt) - kd s, with s the slope of the signal behind a first-order
filter by backward differences (Astrom and Murray, Feedback Systems, 2nd ed., section 11.5: written
from memory).
"""

from array import array

import numpy as np
import pytest
from control import forced_response, ss

from heatcore.limits import DUTY_MAX
from heatcore.numbers import Ratio
from heatcore.pid import Pid

DT = 0.25
SHIFT = 16
CASES = [
    # kp, ki, kd in duty per mK, per second, times a second; filter in seconds
    (0.2, 0.0, 0.0, 0.0),
    (0.2, 0.002, 0.0, 0.0),
    (0.2, 0.002, 1.0, 4.0),
    (0.05, 0.0002, 2.0, 10.0),
    (0.9, 0.03, 4.0, 2.0),
]


def textbook(kp, ki, kd, tf, error_mk, signal_mk, ff):
    """Linear, no limits, in floating point."""
    s = integral = 0.0
    duties = []
    before = signal_mk[0]
    for e, y in zip(error_mk, signal_mk, strict=True):
        s += ((y - before) / DT - s) * DT / (tf + DT)
        before = y
        integral += e * DT
        duties.append(ff + kp * e + ki * integral - kd * s)
    return np.array(duties)


def integer(kp, ki, kd, tf, error_mk, signal_mk, ff):
    scaled = [round(gain * (1 << SHIFT)) for gain in (kp, ki, kd)]
    pid = Pid(array("i", [0, *scaled, SHIFT, round(tf * 1000)]), Ratio())
    return np.array(
        [pid.step(0, ff, int(e), int(y)) for e, y in zip(error_mk, signal_mk, strict=True)]
    )


def rounded(gains):
    """What the integers make of the gains; the textbook is then asked for just that."""
    return (*(round(gain * (1 << SHIFT)) / (1 << SHIFT) for gain in gains[:3]), gains[3])


def signals(name):
    ticks = np.arange(800)
    if name == "step":
        return np.where(ticks < 40, 0, 1_000), np.where(ticks < 40, 25_000, 26_000)
    if name == "ramp":
        return np.minimum(ticks, 200) * 5, 25_000 + 300 * np.minimum(ticks, 400)
    rng = np.random.default_rng(3)
    return rng.integers(-1_500, 1_500, 800), 100_000 + 250 * rng.integers(-2, 3, 800)


@pytest.mark.parametrize("name", ["step", "ramp", "noise"])
@pytest.mark.parametrize("gains", CASES)
def test_same_response(gains, name):
    error_mk, signal_mk = signals(name)
    ours = integer(*gains, error_mk, signal_mk, 5_000)
    theirs = textbook(*rounded(gains), error_mk, signal_mk, 5_000)
    inside = (theirs > 1) & (theirs < DUTY_MAX - 1)
    # compared up to the first limit: beyond it the textbook winds up and ours does not
    until = len(inside) if inside.all() else int(np.argmin(inside))
    assert until > 35
    # P and D each round to a duty, the integral to one; the filtered slope is known to 1 mK/s
    assert np.max(np.abs(ours - theirs)[:until]) <= 2.5 + gains[2]


def test_pi_against_control():
    """Outside check: PyPI `control`, the discrete transfer function of the same PI."""
    kp, ki, _, _ = rounded((0.2, 0.002, 0.0, 0.0))
    error_mk, signal_mk = signals("step")
    pi = ss([[1.0]], [[ki * DT]], [[1.0]], [[kp + ki * DT]], DT)
    theirs = 5_000 + forced_response(pi, np.arange(800) * DT, error_mk).outputs
    ours = integer(0.2, 0.002, 0.0, 0.0, error_mk, signal_mk, 5_000)
    assert np.max(np.abs(ours - theirs)) <= 2
