"""How sure a prediction is: what is known of the parameters, and what no parameter explains."""

from __future__ import annotations

import numpy as np

from heatsim.plant import NODES
from heatwright.documents.source import Spread
from heatwright.measuring.fitting import Solution, simulate
from heatwright.measuring.measurement import Measurement
from heatwright.measuring.quality import STAGE_EDGES_C
from heatwright.records.units import Floats

# A step of half a standard deviation stays where the plant is nearly linear.
STEP_SD = 0.5
SD_OF_90 = 1.645
BOARD = NODES.index("board")


def parameter_sd(solution: Solution, run: Measurement, node: int = BOARD) -> Floats:
    """Standard deviation of one node through a run that comes from the parameters alone, K."""
    known = solution.known
    middle = simulate(solution.params, run.inputs, run.start_c)[:, node]
    variance = np.zeros_like(middle)
    for column in known.factor.T:
        moved = simulate(known.at(known.mean + STEP_SD * column), run.inputs, run.start_c)
        variance += ((moved[:, node] - middle) / STEP_SD) ** 2
    found: Floats = np.sqrt(variance)
    return found


def spread_sd(spread: Spread, board_c: Floats) -> Floats:
    """What no parameter explains at each point of a predicted board's curve, K."""
    peak = int(np.argmax(board_c))
    sds = {
        name: residual.sd_k if residual else 0.0
        for name in Spread.model_fields
        for residual in [getattr(spread, name)]
    }
    edges = np.searchsorted([edge for _, edge in STAGE_EDGES_C], board_c)
    names = [name for name, _ in STAGE_EDGES_C]
    return np.array(
        [sds["ramp_down"] if at > peak else sds[names[edge]] for at, edge in enumerate(edges)]
    )


def board_band(solution: Solution, spread: Spread, run: Measurement) -> tuple[Floats, Floats]:
    """Predicted board through a run and its standard deviation, C and K."""
    board_c = simulate(solution.params, run.inputs, run.start_c)[:, BOARD]
    return board_c, np.hypot(parameter_sd(solution, run), spread_sd(spread, board_c))


def sd_at(solution: Solution, spread: Spread, run: Measurement, row: int, node: int) -> float:
    """Standard deviation of one node at one point of a run, K."""
    board_c = simulate(solution.params, run.inputs, run.start_c)[:, BOARD]
    parts = parameter_sd(solution, run, node)[row], spread_sd(spread, board_c)[row]
    return float(np.hypot(*parts))
