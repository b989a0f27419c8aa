"""How a source answers to a change of power near a state: its own linearisation there."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from heatsim import physics
from heatsim.coefficients import coefficients
from heatsim.physics import State
from heatsim.plant import NODES
from heatwright.planning.model import BOARD, FAN, Model, last
from heatwright.planning.tuning import FirstOrder, Floats, fit_step

Complexes = NDArray[np.complex128]

WARMING_DUTY = 0.7
LONGEST_WARMING_S = 1200
WATCHED_S, SAMPLE_S = 150.0, 0.5
STEP_K = 0.01


@dataclass(frozen=True)
class Linear:
    """dx/dt = a x + b u, y = c x about a state; u in duty 0..1, y in K."""

    a: Floats
    b: Floats
    c: Floats

    def at(self, frequencies: Floats) -> Complexes:
        """Complex gain at these angular frequencies, K a unit of duty."""
        # solved as it stands: by way of a transfer function nine lags lose their digits
        shifted = 1j * frequencies[:, None, None] * np.eye(len(self.b)) - self.a
        states = np.linalg.solve(shifted, np.broadcast_to(self.b[:, None], (*shifted.shape[:2], 1)))
        found: Complexes = states[:, :, 0] @ self.c
        return found

    def step(self, time_s: Floats) -> Floats:
        """What a whole unit of duty more does in this time, K; evenly spaced from 0."""
        from scipy.linalg import expm

        size = len(self.b)
        whole = np.zeros((size + 1, size + 1))
        whole[:size, :size], whole[:size, size] = self.a, self.b
        once = expm(whole * (time_s[1] - time_s[0]))
        state, out = np.append(np.zeros(size), 1.0), []
        for _ in time_s:
            out.append(float(self.c @ state[:size]))
            state = once @ state
        return np.array(out)


def linearised(model: Model, state: State, duty: float, node: str) -> Linear:
    """The source near this state and duty, door shut, by differences of its own rates."""
    c = coefficients(model.params)

    def rates(at: State, power: float) -> Floats:
        drive = physics.settle(c, power, 0.0, FAN, 1.0, model.ambient_c)
        return np.array(physics.rates(at, c, drive))

    here = np.array(state)
    columns = []
    for index in range(len(NODES)):
        up, down = here.copy(), here.copy()
        up[index] += STEP_K
        down[index] -= STEP_K
        slope = rates(last(up[None]), duty) - rates(last(down[None]), duty)
        columns.append(slope / (2 * STEP_K))
    b = rates(state, 1.0) - rates(state, 0.0)
    return Linear(np.stack(columns, axis=1), b, np.eye(len(NODES))[NODES.index(node)])


def step_model(model: Model, state: State, node: str, duty: float = WARMING_DUTY) -> FirstOrder:
    """One lag and a dead time for what a step of power does to one node from here on.

    Raises ValueError where the node does not answer.
    """
    time_s = SAMPLE_S * np.arange(1.0, WATCHED_S / SAMPLE_S + 1.0)
    rise_k = linearised(model, state, duty, node).step(np.append(0.0, time_s))[1:]
    return fit_step(time_s, rise_k, 1.0)


def warmed(model: Model, board_c: float) -> State:
    """The source with its board just heated to this temperature, or as near as it gets."""
    states = model.run(model.start(), np.full(LONGEST_WARMING_S, WARMING_DUTY), 0.0, 1.0)
    reached = states[:, BOARD] >= board_c
    row = int(np.argmax(reached)) if reached.any() else len(states) - 1
    return last(states[: row + 1])
