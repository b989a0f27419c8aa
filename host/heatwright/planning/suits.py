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
from heatwright.errors import BadInput, Fault
from heatwright.judging.curves import rms
from heatwright.planning.knots import COOL_STEP_S
from heatwright.planning.model import BOARD, Model
from heatwright.planning.trajectory import DOOR_DELAY_S, opened
from heatwright.planning.tuning import Floats

# Feedback makes good less than this without anybody's noticing.
PEAK_OFF_K = 5.0
# Nearer than this either sensor will do.
ON_BOARD_K = 15.0
# Nodes of the plant where a control sensor may sit.
PLACES = ("sensor", "board_sensor")


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


def check_sensor(source: Source, plan: Plan, reads: str, ambient_c: float, where: str) -> None:
    """Raises `BadInput` where the plan's course of the sensor is the one of the other place.

    On the plan's power the model tells how far each sensor gets from the board; the plan's own
    distance is that of the sensor it was made for, and no other is nearer to it.
    """
    if plan.law != TRACK:
        return
    off_k = _off_course_k(source, plan, ambient_c)
    nearest = min(off_k, key=lambda place: rms(off_k[place]))
    most_k = float(np.abs(off_k[reads]).max())
    if nearest == reads or most_k <= ON_BOARD_K:
        return
    places, cure = sentences.PLAN_SENSOR_AT, sentences.PLAN_OTHER_SENSOR_CURES[reads]
    found = sentences.PLAN_OTHER_SENSOR_FOUND.format(place=places[reads], off=most_k)
    raise BadInput(Fault(sentences.PLAN_OTHER_SENSOR, where, found, places[nearest], cure))


def _off_course_k(source: Source, plan: Plan, ambient_c: float) -> dict[str, Floats]:
    """How far a sensor in each place would read off the plan's course, at the plan's knots."""
    states = _on_its_power(Model(source.plant_params(), ambient_c), plan)
    states_s = COOL_STEP_S * np.arange(len(states))
    planned_k = np.subtract(plan.y_mc, plan.b_mc) / 1000

    def off_k(node: str) -> Floats:
        from_board_k = states[:, NODES.index(node)] - states[:, BOARD]
        return np.interp(np.array(plan.t_ms) / 1000, states_s, from_board_k) - planned_k

    return {place: off_k(place) for place in PLACES}


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
