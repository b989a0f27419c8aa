"""Follows the source on many models like it; those that fit the readings best look ahead."""

from __future__ import annotations

import math
from collections.abc import Sequence
from copy import copy
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
BEAD_NODES = frozenset(range(len(NODES))) - {NODES.index("element")}
# A melt tells of the board alone.
BOARD_NODES = frozenset(
    NODES.index(node) for node in ("board", "small_part", "large_part", "board_sensor")
)
# A melt seen counts like a bead on the board that was read for so long.
MELT_S = 30.0
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
        self._bead_off_k = np.zeros(len(self._models))
        self._last_c = first_c

    def twin(self) -> Follower:
        """Another that has seen the same so far."""
        return copy(self)

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
        self._last_c = reading_c
        error_k = self._errors_k(self._bead, reading_c) - self._bead_off_k
        self._misfit = self._misfit * np.exp(-FORGOTTEN_PER_S * since_s) + since_s * error_k**2
        taken = 1.0 - float(np.exp(-TAKEN_PER_S * since_s))
        self._states = [
            _moved(state, taken * float(error), BEAD_NODES)
            for state, error in zip(self._states, error_k, strict=True)
        ]

    def anchor(self, melts_c: float) -> None:
        """The board melts now: a fixed point, from which each bead tells how far off it is.

        Models whose board is far from melting explain least, and lose most.
        """
        error_k = self._errors_k(BOARD, melts_c)
        self._misfit = self._misfit + MELT_S * error_k**2
        self._states = [
            _moved(state, float(error), BOARD_NODES)
            for state, error in zip(self._states, error_k, strict=True)
        ]
        self._bead_off_k = self._errors_k(self._bead, self._last_c)

    def _errors_k(self, node: int, at_c: float) -> Floats:
        return np.array([at_c - state[node] for state in self._states])

    def best(self) -> list[int]:
        """The models that have fitted best of late."""
        return [int(at) for at in np.argsort(self._misfit, kind="stable")[:BEST]]

    @property
    def board_c(self) -> float:
        return float(np.mean([self._states[at][BOARD] for at in self.best()]))

    @property
    def hottest_c(self) -> float:
        """As hot as the board may be, by any of the models."""
        return max(state[BOARD] for state in self._states)

    def board_ahead(self, rows: Floats) -> Floats:
        """The board from now on with these inputs, a value a `STEP_S`."""
        mean: Floats = np.mean([self._board(at, rows) for at in self.best()], axis=0)
        return mean

    def hottest_ahead(self, rows: Floats) -> Floats:
        """The same for the model whose board is hottest now."""
        return self._board(int(np.argmax([state[BOARD] for state in self._states])), rows)

    def _board(self, at: int, rows: Floats) -> Floats:
        return _run(self._models[at], self._states[at], rows)[:, BOARD]


def rows_of(parts: Sequence[tuple[float, Setting]]) -> Floats:
    """Duty and door a step, for seconds with a setting."""
    rows = [
        np.tile((one.duty, one.door), (max(math.ceil(time_s / STEP_S), 1), 1))
        for time_s, one in parts
    ]
    return np.concatenate(rows)


def _run(model: Model, state: State, rows: Floats, step_s: float = STEP_S) -> Floats:
    return model.run(state, rows[:, 0], rows[:, 1], step_s)


def _moved(state: State, by_k: float, which: frozenset[int]) -> State:
    nodes = [value + (by_k if at in which else 0.0) for at, value in enumerate(state)]
    a, b, c, d, e, f, g, h, i = nodes
    return (a, b, c, d, e, f, g, h, i)
