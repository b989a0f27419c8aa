"""How fast the plant runs, and how that compares with SciPy at equal accuracy, in the same run."""

import time
from collections.abc import Callable

import numpy as np
from scipy.integrate import solve_ivp

from heatsim import physics
from heatsim.batch import Floats, inputs_table, simulate, simulate_compiled
from heatsim.coefficients import coefficients
from heatsim.params import PlantParams
from heatsim.plant import STEP_S, Plant, start
from heatwright.documents import load_source

Row = tuple[str, float, str, str]
SECONDS = 400.0
STEPS = round(SECONDS / STEP_S)
LANES = 256
AMBIENT_C = 25.0
METHODS = ("RK45", "DOP853", "LSODA")


def figures() -> list[Row]:
    """Rows of name, value, unit and bar; each speed is the best of a few runs on one core."""
    params = load_source("toaster").plant_params()
    return [*_speeds(params), *_against_scipy(params)]


def _speeds(params: PlantParams) -> list[Row]:
    inputs = _inputs(np.ones(STEPS))
    simulate_compiled([params], inputs)
    plain_s = _best(lambda: _plain(params))
    compiled_s = _best(lambda: simulate_compiled([params] * 20, inputs)) / 20
    batch_s = _best(lambda: simulate([params] * LANES, inputs)) / LANES
    unit = "simulated s/s"
    return [
        ("plant, plain Python", SECONDS / plain_s, unit, ">= 5000"),
        (f"plant, numpy batch of {LANES}", SECONDS / batch_s, unit, "printed"),
        ("plant, compiled", SECONDS / compiled_s, unit, ">= 1000000"),
    ]


def _against_scipy(params: PlantParams) -> list[Row]:
    """Full power held, SciPy's best case; and a duty that moves each tick, as under control."""
    rows: list[Row] = []
    moving = 0.5 + 0.5 * np.sin(np.arange(STEPS // 4))
    for name, duty, pieces in (
        ("held input", np.ones(STEPS), 1),
        ("input of each tick", moving, len(moving)),
    ):
        inputs = _inputs(duty)
        error_k, scipy_s = _scipy_at_our_accuracy(params, inputs, pieces)
        compiled_s = _best(lambda inputs=inputs: simulate_compiled([params], inputs))
        rows += [
            (f"{name}: worst node against DOP853", error_k, "C", "<= 1e-3"),
            (f"{name}: compiled plant over solve_ivp", scipy_s / compiled_s, "times", "printed"),
        ]
    return rows


def _inputs(duty: Floats) -> Floats:
    return inputs_table(duty, ambient_c=AMBIENT_C)


def _plain(params: PlantParams) -> None:
    plant = Plant(params)
    for _ in range(STEPS):
        plant.step(STEP_S, 1.0)


def _scipy_at_our_accuracy(params: PlantParams, inputs: Floats, pieces: int) -> tuple[float, float]:
    """Our worst error, and the time of the quickest SciPy method that is no worse."""
    exact = _scipy(params, inputs, pieces, "DOP853", 1e-12)
    error_k = float(np.abs(simulate([params], inputs)[0] - exact).max())
    times = [_time_to(params, inputs, pieces, method, error_k, exact) for method in METHODS]
    return error_k, min(times)


def _time_to(
    params: PlantParams, inputs: Floats, pieces: int, method: str, error_k: float, exact: Floats
) -> float:
    """Time at the loosest tolerance that is as good as we are."""
    for tolerance in 10.0 ** -np.arange(3.0, 12.0, 1.0):
        began = time.perf_counter()
        found = _scipy(params, inputs, pieces, method, tolerance)
        taken = time.perf_counter() - began
        if np.abs(found - exact).max() <= error_k:
            return taken
    return float("inf")


def _scipy(
    params: PlantParams, inputs: Floats, pieces: int, method: str, tolerance: float
) -> Floats:
    """States after each step; `pieces` calls, each with its first row of inputs held."""
    c, y, parts = coefficients(params), np.array(start(AMBIENT_C)), []
    for rows in np.split(inputs, pieces):
        drive = physics.settle(c, *rows[0].tolist())
        ends = np.arange(1, len(rows) + 1) * STEP_S
        solution = solve_ivp(
            lambda _t, y, drive=drive: physics.rates(tuple(y.tolist()), c, drive), (0.0, ends[-1]),
            y, method=method, rtol=tolerance, atol=tolerance, t_eval=ends,
        )  # fmt: skip
        parts.append(solution.y.T)
        y = solution.y[:, -1]
    return np.vstack([start(AMBIENT_C), *parts])


def _best(work: Callable[[], object], times: int = 3) -> float:
    taken = []
    for _ in range(times):
        began = time.perf_counter()
        work()
        taken.append(time.perf_counter() - began)
    return min(taken)


if __name__ == "__main__":
    for name, value, unit, bar in figures():
        print(f"{name:48s}{value:14.6g} {unit:14s} {bar}")
