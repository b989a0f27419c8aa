"""Whether a plan that lies there already suits the board and the sensor: told with numbers."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from heatcore.codes import TRACK
from heatcore.plan import NO_CUE, Plan
from heatsim.plant import NODES
from heatwright import sentences
from heatwright.documents import Source
from heatwright.documents.bench import Fitted
from heatwright.documents.board import Board
from heatwright.documents.load import for_board, known_load, load_of
from heatwright.planning.knots import COOL_STEP_S
from heatwright.planning.model import BOARD, Model
from heatwright.planning.trajectory import DOOR_DELAY_S, opened
from heatwright.planning.tuning import Floats

# Feedback makes good less than this without anybody's noticing.
PEAK_OFF_K = 5.0
# A bead on the board lags behind it by less than this; a sensor elsewhere is mostly further off.
ON_BOARD_K = 15.0


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


def sensor_warning(source: Source, plan: Plan, reads: str, ambient_c: float) -> str:
    """That the plan's course of the sensor is the other place's, with how far off; else empty."""
    if plan.law != TRACK:
        return ""
    apart_k = float(np.abs(np.subtract(plan.y_mc, plan.b_mc)).max()) / 1000
    on_board = apart_k <= ON_BOARD_K
    if on_board == (reads == "board_sensor"):
        return ""
    off_k = _sensor_apart_k(source, plan, ambient_c) if on_board else apart_k
    if off_k <= ON_BOARD_K:
        return ""
    option = "board_sensor" if on_board else "sensor"
    return sentences.PLAN_OTHER_SENSOR.format(off=off_k, option=option)


def _sensor_apart_k(source: Source, plan: Plan, ambient_c: float) -> float:
    """How far the source's own sensor gets from the board on the plan's power."""
    states = _on_its_power(Model(source.plant_params(), ambient_c), plan)
    return float(np.abs(states[:, NODES.index("sensor")] - states[:, BOARD]).max())


def _peak_c(model: Model, plan: Plan) -> float:
    """The board's highest on the plan's own power, nothing corrected."""
    return float(_on_its_power(model, plan)[:, BOARD].max())


def _on_its_power(model: Model, plan: Plan) -> Floats:
    """The states of a cold source on the plan's own power."""
    middles = np.arange(0.0, plan.t_ms[-1] / 1000, COOL_STEP_S) + COOL_STEP_S / 2
    duty = np.interp(middles * 1000, plan.t_ms, plan.u) / 10_000
    opens_s = np.inf if plan.door_cue_ms == NO_CUE else plan.door_cue_ms / 1000 + DOOR_DELAY_S
    door = opened(middles, opens_s, COOL_STEP_S)
    return model.run(model.start(), duty, door, COOL_STEP_S)
