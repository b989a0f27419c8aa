"""A source still warm from an earlier run: what state it is in, and how long until it is cold."""

from __future__ import annotations

import numpy as np

from heatcontroller.proof import PROOF_MS
from heatcontroller.states import COUNTDOWN_MS
from heatsim.batch import INPUTS
from heatsim.physics import State
from heatsim.plant import NODES, STEP_S
from heatwright.measuring.measurement import Measurement
from heatwright.planning.model import BOARD, LARGE, SMALL, Model, last
from heatwright.planning.wanted import Wanted

# Cooling is followed in steps of a second: nothing is quick any more.
REST_STEP_S = 1.0
LONGEST_REST_S = 4 * 3600
# An earlier run, where nothing is known of it: heat until a board would solder.
LONGEST_HEATING_S, SOLDERING_C, HEATING_DUTY = 900, 240.0, 0.9
ON_BOARD = (BOARD, SMALL, LARGE, NODES.index("board_sensor"))
SENSOR = NODES.index("sensor")
# From arming until heat the outputs are proved, then it counts down.
ARMING_S = (PROOF_MS + COUNTDOWN_MS) / 1000


def laid(model: Model, wanted: Wanted) -> State:
    """The source at the moment its next board lies in it."""
    return wanted.state or model.start(wanted.start_c)


def started(model: Model, wanted: Wanted) -> State:
    """The source when heat begins: in a warm one the board has taken on warmth while it armed."""
    state = laid(model, wanted)
    return rested(model, state, ARMING_S) if wanted.is_warm else state


def after_run(model: Model, run: Measurement, rest_s: float, door: float = 0.0) -> State:
    """The source so long after a run's end, the soldered board taken out and a cold one put in."""
    inputs = run.inputs.copy()
    inputs[:, INPUTS.index("ambient_c")] = model.ambient_c
    end = last(model.driven(model.start(run.start_c), inputs, STEP_S))
    return with_cold_board(model, rested(model, end, rest_s, door))


def rested(model: Model, state: State, rest_s: float, door: float = 0.0) -> State:
    """The source so much later, heat and fan off."""
    inputs = np.zeros((max(round(rest_s / REST_STEP_S), 1), len(INPUTS)))
    inputs[:, INPUTS.index("door")] = door
    inputs[:, INPUTS.index("mains")] = 1.0
    inputs[:, INPUTS.index("ambient_c")] = model.ambient_c
    return last(model.driven(state, inputs, REST_STEP_S))


def with_cold_board(model: Model, state: State) -> State:
    """The same source with a board from the bench laid in."""
    cold = [model.ambient_c if i in ON_BOARD else value for i, value in enumerate(state)]
    return last(np.array([cold]))


def at_reading(model: Model, sensor_c: float) -> State:
    """The source where its sensor reads this while it cools after a run; colder than that: at rest.

    The oven is taken through full heat to a board at soldering heat, and rests until it reads so.
    """
    if sensor_c <= model.ambient_c + 1.0:
        return with_cold_board(model, model.start())
    state = _hot(model)
    waited = wait_s(model, state, sensor_c)
    return with_cold_board(model, rested(model, state, waited))


def _hot(model: Model) -> State:
    states = model.run(model.start(), np.full(LONGEST_HEATING_S, HEATING_DUTY), 0.0, 1.0)
    hot = states[:, BOARD] >= SOLDERING_C
    row = int(np.argmax(hot)) if hot.any() else len(states) - 1
    return last(states[: row + 1])


def wait_s(model: Model, state: State, sensor_c: float) -> float:
    """How long until the sensor reads no more than this, heat off, door shut; at most hours."""
    inputs = np.zeros((round(LONGEST_REST_S / REST_STEP_S), len(INPUTS)))
    inputs[:, INPUTS.index("mains")] = 1.0
    inputs[:, INPUTS.index("ambient_c")] = model.ambient_c
    below = model.driven(state, inputs, REST_STEP_S)[:, SENSOR] <= sensor_c
    return REST_STEP_S * float(np.argmax(below)) if below.any() else float(LONGEST_REST_S)
