"""Whether a plan that lies there already suits the board that is to go in: told with numbers."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from heatcore.codes import TRACK
from heatcore.plan import NO_CUE, Plan
from heatwright import sentences
from heatwright.documents import Source
from heatwright.documents.bench import Fitted
from heatwright.documents.board import Board
from heatwright.planning.load import for_board, known_load, load_of
from heatwright.planning.model import BOARD, Model
from heatwright.planning.trajectory import COOL_STEP_S, DOOR_DELAY_S

# Feedback makes good less than this without anybody's noticing.
PEAK_OFF_K = 5.0


def board_warning(
    source: Source, plan: Plan, board: Board, fitted: Sequence[Fitted], ambient_c: float
) -> str:
    """What the plan's power does with this board on the source file, where that is not its peak."""
    if plan.law != TRACK:
        return ""
    params = source.plant_params()
    peak_c = _peak_c(Model(for_board(params, board, fitted), ambient_c), plan)
    planned_c = max(plan.b_mc) / 1000
    if abs(peak_c - planned_c) <= PEAK_OFF_K:
        return ""
    return sentences.PLAN_OTHER_BOARD.format(
        mine=load_of(board, fitted).whole_j_k,
        theirs=known_load(params).whole_j_k,
        peak=peak_c,
        planned=planned_c,
    )


def _peak_c(model: Model, plan: Plan) -> float:
    """The board's highest on the plan's own power, nothing corrected."""
    middles = np.arange(0.0, plan.t_ms[-1] / 1000, COOL_STEP_S) + COOL_STEP_S / 2
    duty = np.interp(middles * 1000, plan.t_ms, plan.u) / 10_000
    opens_s = np.inf if plan.door_cue_ms == NO_CUE else plan.door_cue_ms / 1000 + DOOR_DELAY_S
    states = model.run(model.start(), duty, (middles >= opens_s).astype(float), COOL_STEP_S)
    return float(states[:, BOARD].max())
