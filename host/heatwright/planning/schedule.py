"""Gains along the trajectory: SIMC at several moments of the heating, each a row of the plan.

At each moment the source is linearised where it stands. Two lags and a dead time are fitted to
that, SIMC makes a PID of them, and its one knob, the closed loop's time constant, is turned up only
as far as the loop stays calm on every source that the uncertainty allows.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from random import Random
from typing import Any

import numpy as np

from heatsim import seeds
from heatsim.params import PlantParams
from heatsim.physics import State
from heatwright.planning.margins import FREQUENCIES, Margins, late, margins, regulator
from heatwright.planning.model import Model, last
from heatwright.planning.response import Complexes, Linear, linearised
from heatwright.planning.trajectory import Trajectory
from heatwright.planning.tuning import DERIVATIVE_SHARE, Gains, SecondOrder, simc_pid

ROWS = 4
# No loop on any source of the uncertainty may amplify more than this: gain margin 2, phase 29 deg;
# the upper end of what textbooks call reasonable (1.2 to 2; from memory).
MS_MAX = 2.0
# Tried from the quickest on; a sensor's noise bounds what is of use.
CLOSED_S = np.geomspace(4.0, 120.0, 18).tolist()
# How much a kelvin of noise may move the duty. A converter of 0.25 C steps has some 0.17 K of it;
# twice as stiff a loop gains hardly anything, and noise cut off at full power is heat that a weak
# source never gets.
DUTY_PER_K_MAX = 0.5
# Of the derivative time; from 1 on hardly anything is left of it.
FILTER_SHARES = (DERIVATIVE_SHARE, 0.4, 0.8, 1.6)
DRAWS = 6
# The fit minds the frequencies at which loops live: from an eighth of a turn to well past a half.
FITTED_PHASE = (-0.9, -3.6)


@dataclass(frozen=True)
class Row:
    """Gains from a moment on, made at ``at_s``; how the loop stands, and at worst on any source."""

    from_s: float
    at_s: float
    gains: Gains
    margins: Margins
    worst_ms: float


def gain_rows(
    model: Model, found: Trajectory, node: str, spread: float = seeds.KIND_SPREAD
) -> list[Row]:
    """A row for each stretch of the heating, the sensor at this node."""
    edges_s = np.linspace(0.0, found.cut_s, ROWS + 1)
    others = [Model(one, model.ambient_c) for one in _drawn(model.params, spread)]
    rows = []
    for begin, end in pairwise(edges_s.tolist()):
        middle_s = (begin + end) / 2
        state = last(found.fine[: int(np.searchsorted(found.fine_s, middle_s)) + 1])
        duty = float(np.interp(middle_s, found.time_s, found.duty))
        row = row_at([model, *others], state, duty, node)
        rows.append(replace(row, from_s=begin, at_s=middle_s))
    return rows


def _drawn(params: PlantParams, spread: float) -> list[PlantParams]:
    return [seeds.variation(params, spread, Random(f"tuning {n}")) for n in range(DRAWS)]


def row_at(models: Sequence[Model], state: State, duty: float, node: str) -> Row:
    """Gains for the first of these sources, calm on all of them, where it stands."""
    return calm_row([linearised(one, state, duty, node) for one in models])


def calm_row(linear: Sequence[Linear]) -> Row:
    """The stiffest gains for the first of these that leave every loop calm.

    Stiff is what holds a lasting disturbance best: the largest integral gain (Astrom, Panagopoulos,
    Hagglund: "Design of PI controllers based on non-convex optimization", Automatica 34, 1998).
    """
    responses = [one.at(FREQUENCIES) for one in linear]
    tried = [(gains, _margins(responses, gains)) for gains in _candidates(second_order(linear[0]))]
    calm = [row for row in tried if _is_calm(row)] or tried[-1:]
    gains, found = max(calm, key=lambda row: row[0].duty_per_k / row[0].integral_s)
    return Row(0.0, 0.0, gains, found[0], max(one.ms for one in found))


def _candidates(fitted: SecondOrder) -> Iterator[Gains]:
    """SIMC for every pace, the derivative filtered more and more where a sensor is noisy."""
    for closed_s in CLOSED_S:
        gains = simc_pid(fitted, closed_s)
        for share in FILTER_SHARES:
            yield replace(gains, filter_s=max(share * gains.derivative_s, gains.filter_s))


def _margins(responses: Sequence[Complexes], gains: Gains) -> list[Margins]:
    loop = regulator(gains) * late()
    return [margins(one * loop) for one in responses]


def _is_calm(row: tuple[Gains, list[Margins]]) -> bool:
    gains, found = row
    noisy = gains.duty_per_k * (1.0 + gains.derivative_s / max(gains.filter_s, 1e-9))
    return noisy <= DUTY_PER_K_MAX and all(one.ms <= MS_MAX and one.phase_deg > 0 for one in found)


def second_order(linear: Linear) -> SecondOrder:
    """Two lags and a dead time with nearly the same frequency response."""
    from scipy.optimize import least_squares

    response = linear.at(FREQUENCIES) * late()
    phase = np.unwrap(np.angle(response))
    band = (phase < FITTED_PHASE[0]) & (phase > FITTED_PHASE[1])
    s, wanted = 1j * FREQUENCIES[band], np.log(np.abs(response[band])) + 1j * phase[band]

    def off(logs: Any) -> Any:
        gain, time_s, second_s, dead_s = np.exp(logs)
        # logarithms of each factor, so that no turn of the phase is lost
        found = np.log(gain) - np.log(1 + time_s * s) - np.log(1 + second_s * s) - dead_s * s
        return np.concatenate([(found - wanted).real, (found - wanted).imag])

    first = np.log([max(abs(response[0]), 1.0), 200.0, 20.0, 3.0])
    low, high = np.log([1.0, 5.0, 0.1, 0.05]), np.log([1e6, 1e5, 400.0, 120.0])
    x = np.exp(least_squares(off, np.clip(first, low, high), bounds=(low, high)).x)
    gain, one_s, other_s, dead_s = x.tolist()
    return SecondOrder(gain, max(one_s, other_s), min(one_s, other_s), dead_s)
