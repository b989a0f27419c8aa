"""Controller gains from a first-order-with-dead-time model, by the SIMC rules.

Skogestad, "Simple analytic rules for model reduction and PID controller tuning",
J. Process Control 13 (2003) 291-309.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
# The derivative's filter: a tenth is Skogestad's, more keeps a sensor's noise off the heater.
DERIVATIVE_SHARE, LEAST_FILTER_S = 0.2, 1.0


@dataclass(frozen=True)
class FirstOrder:
    """K e^(-Ls) / (Ts + 1): gain in K per unit of duty, time constant and dead time in s."""

    gain_k: float
    time_s: float
    dead_s: float

    @property
    def slope_k_s(self) -> float:
        """How fast the output starts to rise, K/s per unit of duty (K/T)."""
        return self.gain_k / self.time_s


@dataclass(frozen=True)
class Gains:
    """An ideal-form PID: duty per K, integral and derivative time in s (0: no derivative).

    ``filter_s`` is the lag of the derivative's filter.
    """

    duty_per_k: float
    integral_s: float
    derivative_s: float = 0.0
    filter_s: float = 5.0


def simc(model: FirstOrder, closed_s: float | None = None) -> Gains:
    """PI gains for a closed-loop time constant of ``closed_s`` (default: the dead time)."""
    closed_s = model.dead_s if closed_s is None else closed_s
    if not closed_s + model.dead_s > 0:
        raise ValueError("without dead time the closed-loop time constant must be given")
    wait_s = closed_s + model.dead_s
    return Gains(
        duty_per_k=model.time_s / (model.gain_k * wait_s),
        integral_s=min(model.time_s, 4 * wait_s),
    )


@dataclass(frozen=True)
class SecondOrder:
    """K e^(-Ls) / ((T1 s + 1)(T2 s + 1)), T1 the longer; gain in K per unit of duty, times in s."""

    gain_k: float
    time_s: float
    second_s: float
    dead_s: float


def simc_pid(model: SecondOrder, closed_s: float) -> Gains:
    """PID gains for a closed-loop time constant of ``closed_s``, in the ideal form.

    The rules give the series form; (Ti, Td) in series is (Ti + Td, Ti Td / (Ti + Td)) in the
    ideal one, its gain larger by 1 + Td / Ti.
    """
    wait_s = closed_s + model.dead_s
    series_k = model.time_s / (model.gain_k * wait_s)
    integral_s = min(model.time_s, 4 * wait_s)
    both_s = integral_s + model.second_s
    derivative_s = integral_s * model.second_s / both_s
    return Gains(
        series_k * both_s / integral_s,
        both_s,
        derivative_s,
        max(DERIVATIVE_SHARE * derivative_s, LEAST_FILTER_S),
    )


def half_rule(lags_s: list[float]) -> tuple[float, float]:
    """Reduce 1/prod(lag s + 1) to one lag and a dead time; returns (time_s, dead_s).

    The largest neglected lag is shared: half to the lag kept, half to the dead time.
    """
    first, second, *rest = [*sorted(lags_s, reverse=True), 0.0, 0.0]
    return first + second / 2, second / 2 + sum(rest)


def fit_step(time_s: Floats, rise_k: Floats, step_duty: float) -> FirstOrder:
    """Fit a step response that need not have settled; arrays of equal length, step at time 0.

    Integrating the model once makes it linear in its unknowns,
    y = -(1/T) int(y) + (K/T) (t - L), so ordinary least squares does it, on the part after the
    response has begun. Raises ValueError where the response does not rise.
    """
    begun = rise_k > 0.05 * rise_k.max()
    if step_duty == 0 or begun.sum() < 10:
        raise ValueError("the step response does not rise")
    steps = np.diff(time_s, prepend=time_s[0])
    middles = (rise_k + np.concatenate([rise_k[:1], rise_k[:-1]])) / 2
    columns = np.stack([np.cumsum(middles * steps), time_s, np.ones_like(time_s)], axis=1)
    (decay, slope, offset), *_ = np.linalg.lstsq(columns[begun], rise_k[begun], rcond=None)
    if slope <= 0:
        raise ValueError("the step response does not rise")
    # a source that only integrates has no time constant: longer than any run will do
    time_constant_s = 1 / max(-decay, 1e-4)
    return FirstOrder(
        gain_k=slope * time_constant_s / step_duty,
        time_s=time_constant_s,
        dead_s=max(-offset / slope, 0.0),
    )
