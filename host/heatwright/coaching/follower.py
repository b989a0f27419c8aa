"""Follows the source on many models like it; those that fit the readings best look ahead."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from random import Random

import numpy as np

from heatsim.params import PlantParams
from heatsim.physics import State
from heatsim.plant import NODES
from heatsim.seeds import variation
from heatwright.coaching.gun import nearest
from heatwright.coaching.knob import Setting
from heatwright.judging.curves import Floats
from heatwright.planning.model import BOARD, Model, last

STEP_S = 0.5
MEMBERS, BEST = 24, 3
SPREAD = 0.15
# A misfit counts less the longer it is ago: half after about a minute and a half.
FORGOTTEN_PER_S = 0.008
# How much of a misfit is taken for a wrong state, per second; the rest is for the choice of model.
TAKEN_PER_S = 0.08
# A bead tells of the board and of what is as warm as it, not of the ring or the coil.
UNMOVED = NODES.index("element")
ROOM_C = (5.0, 40.0)


def like(params: PlantParams, count: int = MEMBERS) -> list[PlantParams]:
    """The source itself and others within ±15 % of it, always the same ones."""
    rng = Random("like this source")
    return [params, *(near(params, rng) for _ in range(count - 1))]


def near(params: PlantParams, rng: Random) -> PlantParams:
    """A source within ±15 % of this one; a board off the heat is off it in either."""
    return replace(variation(params, SPREAD, rng), lift_share=params.lift_share)


class Follower:
    """The models' states now; ``reads`` is the node that the bead sits at."""

    def __init__(self, sources: Sequence[PlantParams], reads: str, first_c: float) -> None:
        room_c = min(max(first_c, ROOM_C[0]), ROOM_C[1])
        self._models = [Model(nearest(one), room_c) for one in sources]
        self._states = [model.start(first_c) for model in self._models]
        self._misfit = np.zeros(len(self._models))
        self._bead = NODES.index(reads)

    def go(self, time_s: float, setting: Setting) -> None:
        """So much time passes with the knob there."""
        if time_s <= 0.0:
            return
        rows = rows_of([(time_s, setting)])
        step_s = time_s / len(rows)
        self._states = [
            last(_run(model, state, rows, step_s))
            for model, state in zip(self._models, self._states, strict=True)
        ]

    def see(self, reading_c: float, since_s: float) -> None:
        """A reading, so long after the one before it."""
        error_k = np.array([reading_c - state[self._bead] for state in self._states])
        self._misfit = self._misfit * np.exp(-FORGOTTEN_PER_S * since_s) + since_s * error_k**2
        taken = 1.0 - float(np.exp(-TAKEN_PER_S * since_s))
        self._states = [
            _moved(state, taken * float(error))
            for state, error in zip(self._states, error_k, strict=True)
        ]

    def best(self) -> list[int]:
        """The models that have fitted best of late."""
        return [int(at) for at in np.argsort(self._misfit, kind="stable")[:BEST]]

    @property
    def board_c(self) -> float:
        return float(np.mean([self._states[at][BOARD] for at in self.best()]))

    def board_ahead(self, rows: Floats) -> Floats:
        """The board from now on with these inputs, a value a `STEP_S`."""
        runs = [_run(self._models[at], self._states[at], rows)[:, BOARD] for at in self.best()]
        mean: Floats = np.mean(runs, axis=0)
        return mean


def rows_of(parts: Sequence[tuple[float, Setting]]) -> Floats:
    """Duty and door a step, for seconds with a setting."""
    rows = [
        np.tile((one.duty, one.door), (max(math.ceil(time_s / STEP_S), 1), 1))
        for time_s, one in parts
    ]
    return np.concatenate(rows)


def _run(model: Model, state: State, rows: Floats, step_s: float = STEP_S) -> Floats:
    return model.run(state, rows[:, 0], rows[:, 1], step_s)


def _moved(state: State, by_k: float) -> State:
    nodes = [value + (0.0 if at == UNMOVED else by_k) for at, value in enumerate(state)]
    a, b, c, d, e, f, g, h, i = nodes
    return (a, b, c, d, e, f, g, h, i)
