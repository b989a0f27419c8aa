"""One source as the planner tries it: the compiled plant, run from any state with any duty."""

from __future__ import annotations

from typing import cast

import numpy as np

from heatsim import plant
from heatsim.coefficients import coefficients
from heatsim.compiled import engine
from heatsim.params import PlantParams
from heatsim.physics import State
from heatsim.plant import NODES, STEP_S
from heatwright.planning.tuning import Floats

# The controller keeps the fan on from the first tick of a run to its end.
FAN = 1.0
BOARD = NODES.index("board")
SMALL, LARGE = NODES.index("small_part"), NODES.index("large_part")


class Model:
    """A source in its room. States are tuples of `NODES`; what comes back has a row a state."""

    def __init__(self, params: PlantParams, ambient_c: float = 25.0) -> None:
        self.params = params
        self.ambient_c = ambient_c
        self._coefficients = coefficients(params)
        self._follow = engine().follow

    def start(self, start_c: float | None = None) -> State:
        """At rest in its room; ``start_c`` is a source still warm, its board cold."""
        return plant.start(self.ambient_c, start_c)

    def run(
        self, state: State, duty: Floats, door: Floats | float = 0.0, step_s: float = STEP_S
    ) -> Floats:
        """States before and after each step, C: (steps + 1, nodes)."""
        inputs = np.empty((len(duty), 5))
        inputs[:, 0], inputs[:, 1], inputs[:, 2] = duty, door, FAN
        inputs[:, 3], inputs[:, 4] = 1.0, self.ambient_c
        return self.driven(state, inputs, step_s)

    def driven(self, state: State, inputs: Floats, step_s: float = STEP_S) -> Floats:
        """The same with every input of `heatsim.batch.INPUTS` a step."""
        out = np.empty((len(inputs) + 1, len(NODES)))
        self._follow(state, self._coefficients, inputs, step_s, out)
        return out

    def ramped(self, state: State, from_duty: float, to_duty: float, time_s: float) -> Floats:
        """States while duty goes from one value to the other in a straight line."""
        steps = max(round(time_s / STEP_S), 1)
        share = (np.arange(steps) + 0.5) / steps
        return self.run(state, from_duty + (to_duty - from_duty) * share, 0.0, time_s / steps)


def last(states: Floats) -> State:
    """The last row as a state to go on from."""
    return cast(State, tuple(states[-1].tolist()))
