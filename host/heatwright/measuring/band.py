"""How sure the board of a run is: what is not known of the source's numbers and of its volts.

The spread of a source's file is not added: it is of predictions from the duty alone, mains drift
included; a run whose own readings were fitted has what no number explains in their weight.
"""

from __future__ import annotations

import numpy as np

from heatsim.plant import NODES
from heatwright.measuring.fitting import Solution
from heatwright.records.units import Floats

# A step of half a standard deviation stays where the plant is nearly linear.
STEP_SD = 0.5
SD_OF_90 = 1.645
BOARD = NODES.index("board")


def known_sd(solution: Solution, node: int = BOARD, inputs: Floats | None = None) -> Floats:
    """Standard deviation of one node through the solution's first run, K."""
    middle = solution.states(inputs=inputs)[:, node]
    variance = np.zeros_like(middle)
    for column in solution.factor.T:
        moved = solution.states(STEP_SD * column, inputs=inputs)[:, node]
        variance += ((moved - middle) / STEP_SD) ** 2
    found: Floats = np.sqrt(variance)
    return found


def board_band(solution: Solution, inputs: Floats | None = None) -> tuple[Floats, Floats]:
    """Board through the solution's first run and its standard deviation, C and K.

    ``inputs`` goes through what that run did and further.
    """
    board_c = solution.states(inputs=inputs)[:, BOARD]
    return board_c, known_sd(solution, BOARD, inputs)
