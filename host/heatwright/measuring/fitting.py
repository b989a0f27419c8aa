"""The fit: bounded least squares over all runs at once, in whitened unknowns.

The rows are the readings, thinned and weighted so that they count as often as they are independent;
the melt marks; and the unknowns themselves, which is the prior. The wall socket's slow drift is an
unknown too: it would otherwise be taken for the source.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from math import pi, sqrt

import numpy as np
from numpy.typing import NDArray

from heatsim.batch import INPUTS, simulate_compiled
from heatsim.mains import DRIFT, DRIFT_PERIOD_S
from heatsim.params import PlantParams
from heatsim.plant import STEP_S
from heatwright.judging.melting import Melt
from heatwright.measuring.measurement import NODE_OF, SENSOR, Bools, Measurement
from heatwright.measuring.parameters import Prior
from heatwright.records.units import Floats

Indices = NDArray[np.intp]

# What no parameter explains is about half a kelvin and stays so for some 20 s: readings nearer to
# each other than this tell the same thing again.
UNEXPLAINED_K, CORRELATED_S, THINNED_S = 0.5, 20.0, 2.0
# Volts drift by about a hundredth, in waves of some minutes: the sd of such a wave, and the length
# that makes a smooth random drift cross its mean as often.
DRIFT_SD = DRIFT / sqrt(2.0)
DRIFT_CORRELATED_S = sum(DRIFT_PERIOD_S) / 2 / (2 * pi)
DRIFT_KNOT_S = 40.0
MAINS = INPUTS.index("mains")
# A board's rate is taken over so many steps to either side of a mark.
RATE_STEPS = 8
# Beyond six standard deviations nothing is the same source any more.
BOUND_SD = 6.0
STARTS, START_SD = 3, 0.7
# Each start goes a few steps; only the best of them goes on, until a step gains next to nothing.
FIRST_STEPS, MOST_STEPS, ENOUGH = 5, 60, 1e-4


@dataclass(frozen=True)
class _Run:
    """One run's part of the rows: which readings count, and the shape of its drift."""

    measurement: Measurement
    rows: dict[str, Indices]
    knots_s: Floats
    drift: Floats
    weight: float
    misread: float

    @property
    def unknowns(self) -> int:
        """The drift at its knots, and where the sensor may misread, by how much."""
        return len(self.knots_s) + bool(self.misread)

    def states(self, params: PlantParams, z: Floats, inputs: Floats | None = None) -> Floats:
        """Through the run, or ``inputs`` in its stead; after the last knot the volts stay."""
        driven = (self.measurement.inputs if inputs is None else inputs).copy()
        now_s = STEP_S * np.arange(len(driven))
        driven[:, MAINS] = 1.0 + np.interp(now_s, self.knots_s, self._volts(z))
        return simulate(params, driven, self.measurement.start_c)

    def _volts(self, z: Floats) -> Floats:
        found: Floats = self.drift @ z[: len(self.knots_s)]
        return found

    def _read(self, states: Floats, name: str, z: Floats) -> Floats:
        """What this bead would read: one that misreads is off in proportion to the room."""
        node_c: Floats = states[:, NODE_OF[name]]
        if not self.misread or name != SENSOR:
            return node_c
        room_c = self.measurement.ambient_c
        return room_c + float(np.exp(self.misread * z[-1])) * (node_c - room_c)

    def residuals(self, params: PlantParams, z: Floats) -> list[Floats]:
        states, run = self.states(params, z), self.measurement
        read = [
            _robust(self.weight * (self._read(states, name, z) - run.readings[name])[rows])
            for name, rows in self.rows.items()
        ]
        marked = [melt_residual(states, melt) for melt in run.melts]
        return [*read, np.array(marked)]


@dataclass(frozen=True)
class Solution:
    """Where the fit came to: ``cost`` is half the sum of squares.

    ``unknowns``: the whitened parameters, then each run's drift; ``factor`` is the lower Cholesky
    factor of their covariance.
    """

    prior: Prior
    runs: tuple[_Run, ...]
    unknowns: Floats
    factor: Floats
    cost: float

    @property
    def params(self) -> PlantParams:
        return self.prior.params(self._parts(self.unknowns)[0])

    @property
    def known(self) -> Prior:
        """What is known of the parameters now: the prior's successor."""
        own = len(self.prior.names)
        return self.prior.narrowed(self.unknowns[:own], self.factor[:own, :own])

    def states(
        self, moved: Floats | float = 0.0, at: int = 0, inputs: Floats | None = None
    ) -> Floats:
        """Every node through one of its runs, C, with the volts that were found there.

        ``moved`` is added to the unknowns; ``inputs`` goes through what the run did and further.
        """
        own, *drifts = self._parts(self.unknowns + moved)
        return self.runs[at].states(self.prior.params(own), drifts[at], inputs)

    def _parts(self, unknowns: Floats) -> list[Floats]:
        sizes = [len(self.prior.names), *(run.unknowns for run in self.runs)]
        return np.split(unknowns, np.cumsum(sizes)[:-1])


def simulate(params: PlantParams, inputs: Floats, start_c: float | None) -> Floats:
    """Temperatures of every node at every step, C, (steps + 1, nodes), by the compiled plant."""
    states: Floats = simulate_compiled([params], inputs, start_c=start_c)[0]
    return states


def melt_residual(states: Floats, melt: Melt) -> float:
    """Standard deviations between model and mark; a not-melted mark only speaks from one side."""
    from scipy.special import log_ndtr

    row = min(round(melt.at_s / STEP_S), len(states) - 1)
    off = (float(states[row, melt.node]) - melt.mean_c) / melt_sd_k(states, melt)
    return off if melt.melted else float(np.sqrt(-2.0 * log_ndtr(-off)))


def melt_sd_k(states: Floats, melt: Melt) -> float:
    """How exact a mark is on this board: on one that rises fast, a moment late is more kelvin."""
    row = min(round(melt.at_s / STEP_S), len(states) - 1)
    around = states[max(row - RATE_STEPS, 0) : row + RATE_STEPS + 1, melt.node]
    rate_k_s = float(around[-1] - around[0]) / max((len(around) - 1) * STEP_S, STEP_S)
    return melt.sd_k(abs(rate_k_s))


def _robust(rows: Floats) -> Floats:
    """Pseudo-Huber: a row beyond one counts in proportion, no longer squared."""
    off = 2.0 * (np.sqrt(1.0 + rows * rows) - 1.0)
    found: Floats = np.sign(rows) * np.sqrt(np.maximum(off, 0.0))
    return found


def solve(
    prior: Prior,
    runs: Sequence[Measurement],
    seen: Sequence[Bools] | None = None,
    *,
    starts: int = STARTS,
    marks_only: Sequence[bool] = (),
    misread: float = 0.0,
    marked_before: int = 0,
) -> Solution:
    """The most plausible source, given the prior, the runs and their marks.

    ``seen`` says of each run which grid points may be looked at; ``marks_only`` which runs were
    learnt from before, so that only their marks are new. ``misread``: what the control sensor makes
    of its own rise above the room may be off by so much, relative, as one standard deviation.
    ``marked_before``: how many melts the prior has learnt from already.
    """
    from scipy.optimize import OptimizeResult, least_squares

    prepared = [
        _prepare(
            run,
            None if seen is None else seen[at],
            at < len(marks_only) and marks_only[at],
            misread,
        )
        for at, run in enumerate(_numbered(runs, marked_before))
    ]
    sizes = [len(prior.names), *(run.unknowns for run in prepared)]

    def rows(z: Floats) -> Floats:
        own, *drifts = np.split(z, np.cumsum(sizes)[:-1])
        params = prior.params(own)
        pairs = zip(prepared, drifts, strict=True)
        return np.concatenate([z, *(row for run, d in pairs for row in run.residuals(params, d))])

    def climb(z: Floats, most: int) -> OptimizeResult:
        bound = BOUND_SD + 1e-9
        # lsmr: the dense solver's threads take longer to wake up than this system to solve
        return least_squares(
            rows, z, bounds=(-bound, bound), max_nfev=most, ftol=ENOUGH, tr_solver="lsmr"
        )

    tried = [climb(z, FIRST_STEPS) for z in _starts(sum(sizes), sizes[0], starts)]
    best = climb(min(tried, key=lambda one: float(one.cost)).x, MOST_STEPS)
    factor = np.linalg.cholesky(np.linalg.inv(best.jac.T @ best.jac))
    return Solution(prior, tuple(prepared), best.x, factor, float(best.cost))


def _numbered(runs: Sequence[Measurement], before: int) -> Iterator[Measurement]:
    """The runs with their melts counted on from those before."""
    for run in runs:
        melts = []
        for melt in run.melts:
            before += melt.melted
            melts.append(replace(melt, nth=max(before, 1)))
        yield replace(run, melts=tuple(melts))


def _starts(size: int, own: int, count: int) -> list[Floats]:
    """The prior's mean, and others drawn about it; always the same ones."""
    rng = np.random.default_rng(1)
    drawn = START_SD * rng.standard_normal((count - 1, size)) * (np.arange(size) < own)
    return [np.zeros(size), *np.clip(drawn, -BOUND_SD / 2, BOUND_SD / 2)]


def _prepare(run: Measurement, seen: Bools | None, marks_only: bool, misread: float) -> _Run:
    thin = np.zeros(len(run.inputs) + 1, dtype=bool)
    thin[:: round(THINNED_S / STEP_S)] = not marks_only
    if seen is not None:
        thin &= seen
    rows = {name: np.flatnonzero(thin & np.isfinite(v)) for name, v in run.readings.items()}
    heated_s = run.time_s[:-1][run.duty > 0]
    end_s = float(heated_s[-1]) if heated_s.size else DRIFT_KNOT_S
    knots_s = np.linspace(0.0, end_s, max(2, int(end_s / DRIFT_KNOT_S) + 1), dtype=np.float64)
    weight = float(np.sqrt(THINNED_S / CORRELATED_S) / UNEXPLAINED_K)
    return _Run(run, rows, knots_s, _drift_factor(knots_s), weight, misread)


def _drift_factor(knots_s: Floats) -> Floats:
    """Cholesky factor of a smooth drift's covariance at these times."""
    apart = (knots_s[:, None] - knots_s[None, :]) / DRIFT_CORRELATED_S
    together = np.exp(-(apart**2) / 2) + 1e-3 * np.eye(len(knots_s))
    lower: Floats = np.linalg.cholesky(together).astype(np.float64)
    return DRIFT_SD * lower
