"""Many sources at once through numpy: a lane each, one call a step for all of them."""

from collections.abc import Sequence
from typing import cast

import numpy as np
from numpy.typing import NDArray

from heatsim import physics
from heatsim.coefficients import Coefficients, coefficients
from heatsim.params import PlantParams
from heatsim.plant import NODES, STEP_S, start

Floats = NDArray[np.float64]
INPUTS = ("duty", "door", "fan", "mains", "ambient_c")


def inputs_table(
    duty: Floats | Sequence[float],
    *,
    door: Floats | float = 0.0,
    fan: Floats | float = 0.0,
    mains: Floats | float = 1.0,
    ambient_c: Floats | float = 25.0,
) -> Floats:
    """Inputs of a run as an array (steps, 5) in the order of `INPUTS`; numbers are held."""
    steps = np.asarray(duty, dtype=np.float64)
    columns = [np.broadcast_to(column, steps.shape) for column in (door, fan, mains, ambient_c)]
    return np.column_stack([steps, *columns])


def simulate(
    sources: Sequence[PlantParams],
    inputs: Floats,
    *,
    start_c: float | None = None,
    step_s: float = STEP_S,
) -> Floats:
    """Trajectories of many sources in numpy, C: (sources, steps + 1, nodes in order of `NODES`).

    `inputs` is (steps, 5) for all of them alike, or (sources, steps, 5); see `INPUTS`.
    """
    rows = np.moveaxis(_per_source(sources, inputs), 0, 2)
    out = np.empty((rows.shape[0] + 1, len(NODES), len(sources)))
    first = _states(sources, inputs, start_c).T
    physics.follow(cast(physics.State, tuple(first)), lanes(sources), rows, step_s, out)
    return np.moveaxis(out, 2, 0)


def simulate_compiled(
    sources: Sequence[PlantParams],
    inputs: Floats,
    *,
    start_c: float | None = None,
    step_s: float = STEP_S,
) -> Floats:
    """What `simulate` gives, through the compiled twin, one source after the other."""
    from heatsim.compiled import engine

    rows = np.array(_per_source(sources, inputs), order="C")
    out = np.empty((len(sources), rows.shape[1] + 1, len(NODES)))
    first = _states(sources, inputs, start_c)
    follow = engine().follow
    for lane, params in enumerate(sources):
        follow(tuple(first[lane]), coefficients(params), rows[lane], step_s, out[lane])
    return out


def _per_source(sources: Sequence[PlantParams], inputs: Floats) -> Floats:
    return np.broadcast_to(inputs, (len(sources), *inputs.shape[-2:]))


def _states(sources: Sequence[PlantParams], inputs: Floats, start_c: float | None) -> Floats:
    ambient_c = _per_source(sources, inputs)[:, 0, INPUTS.index("ambient_c")]
    return np.array([start(ambient, start_c) for ambient in ambient_c])


def lanes(sources: Sequence[PlantParams]) -> Coefficients:
    """Coefficients of many sources, an array over the sources where one source has a number."""
    columns = np.array([coefficients(params) for params in sources]).T
    # Coefficients of floats and of arrays go through the same lines; the types say floats.
    return Coefficients(*cast("list[float]", list(columns)))
