"""Which parameters are learnt, in logarithms, and what is known of them beforehand.

A prior is normal in the logarithms: mean, and the Cholesky factor of the covariance. Learning works
in whitened unknowns z, with logs = mean + factor @ z, so that each z is standard normal beforehand.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import sqrt
from typing import Any

import numpy as np

from heatsim.params import PlantParams, number_fields
from heatsim.seeds import FIXED, KIND_SPREAD
from heatwright.documents import Source
from heatwright.records.units import Floats

RANGE = {one.name: (one.metadata["low"], one.metadata["high"]) for one in number_fields()}
# Not told apart by any run: the board's own heat capacity and size go with their parents' values.
NOT_LEARNT = (*FIXED, "board_rise_per_k", "own_fan_share")
JET_ONLY = ("dilution_mm",)
# A share at its upper end could only go down: its mean is put inside, so that a fit can see both
# ways (uniform in the upper fifth).
INSIDE = 0.93
# What a source's file says nothing of is evenly spread about its kind.
OTHER_SD = KIND_SPREAD / sqrt(3.0)
# A source that is not of its kind: no number is known to better than a factor of two.
LOOSE_SD = 0.8
# The type plate is believed: what is left is the wall socket, 10 % of volts (EN 50160), a fifth of
# power at the ends.
POWER_SD = 0.12
# Learnt in any case, where a source has them, besides those that its file calls uncertain.
ALWAYS = (
    "power_w", "sensor_s", "sensor_liner_share", "sensor_element_share", "free_w_m2k",
    "door_leak_w_k", "door_open_cm2", "door_w_m2k", "lift_share",
)  # fmt: skip
SHARES = ("sensor_liner_share", "sensor_board_share", "sensor_element_share")
# Rounded, a correlation matrix need not be positive definite any more. More than this would blur
# what marks taught: a board known to a kelvin out of thirty is a thousandth of the variance.
JITTER = 1e-5


@dataclass(frozen=True)
class Prior:
    """What is known of a source's parameters before a run is looked at."""

    base: PlantParams
    names: tuple[str, ...]
    mean: Floats
    factor: Floats

    def params(self, z: Floats) -> PlantParams:
        """The source at these whitened unknowns, each number inside its range."""
        return self.at(self.mean + self.factor @ z)

    def at(self, logs: Floats) -> PlantParams:
        """The source at these logarithms, each number inside its range."""
        pairs = zip(self.names, np.exp(logs).tolist(), strict=True)
        values = {name: min(max(v, RANGE[name][0]), RANGE[name][1]) for name, v in pairs}
        changed: dict[str, Any] = _no_more_than_all(self.base, values)
        return replace(self.base, **changed)

    def narrowed(self, z: Floats, factor: Floats) -> Prior:
        """What is known afterwards: ``factor`` of the covariance of z about its best value."""
        return replace(self, mean=self.mean + self.factor @ z, factor=self.factor @ factor)

    @property
    def sd(self) -> Floats:
        """Standard deviation of each logarithm, which is the relative one of its parameter."""
        found: Floats = np.sqrt((self.factor**2).sum(axis=1))
        return found

    @property
    def correlation(self) -> Floats:
        covariance = self.factor @ self.factor.T
        found: Floats = covariance / np.outer(self.sd, self.sd)
        return found


def _no_more_than_all(base: PlantParams, values: dict[str, float]) -> dict[str, float]:
    shares = {name: values.get(name, getattr(base, name)) for name in SHARES}
    total = sum(shares.values())
    return values if total <= 1.0 else values | {k: v / total for k, v in shares.items()}


def learnable(params: PlantParams) -> tuple[str, ...]:
    """Every parameter that this source has and that a run can tell something of."""
    left_out = NOT_LEARNT if params.structure == "jet" else NOT_LEARNT + JET_ONLY
    return tuple(name for name in RANGE if name not in left_out and getattr(params, name) > 0.0)


def of_kind(source: Source, *, few: bool = False, loose: bool = False) -> Prior:
    """What is known of a source that was never measured, from the document of its kind.

    ``few``: only what matters most is learnt. ``loose``: hardly anything is taken for known.
    """
    params, known = source.plant_params(), source.relative_sd()
    names = tuple(n for n in learnable(params) if not few or n in known or n in ALWAYS)
    sd = [LOOSE_SD if loose else known.get(name, OTHER_SD) for name in names]
    sd[names.index("power_w")] = POWER_SD
    return Prior(params, names, _logs(params, names), np.diag(sd))


def with_wider(prior: Prior, names: Sequence[str], sd: float) -> Prior:
    """The same, these parameters known to no better than ``sd``; independent ones only."""
    wider = [sd if name in names else own for name, own in zip(prior.names, prior.sd, strict=True)]
    return replace(prior, factor=np.diag(wider))


def of_learnt(source: Source) -> Prior:
    """What the file of a measured source says: numbers, spread, and how they go together."""
    correlation, known = source.correlation(), source.relative_sd()
    if correlation is None:
        return of_kind(source)
    params, names = source.plant_params(), tuple(correlation.names)
    matrix = np.array(correlation.matrix()) + JITTER * np.eye(len(names))
    sd = np.array([known[name] for name in names])
    factor = sd[:, None] * np.linalg.cholesky(matrix)
    return Prior(params, names, _logs(params, names), factor)


def _logs(params: PlantParams, names: Sequence[str]) -> Floats:
    values = [(getattr(params, name), RANGE[name][1]) for name in names]
    return np.log([min(value, INSIDE * high) for value, high in values])
