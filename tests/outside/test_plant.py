"""The plant against the world: SciPy's integrator, published film coefficients, a textbook body."""

from dataclasses import replace
from math import log, pi

import ht
import numpy as np
import pytest
from scipy.integrate import solve_ivp

from heatsim import physics
from heatsim.batch import inputs_table, simulate
from heatsim.coefficients import coefficients
from heatsim.params import PlantParams
from heatsim.plant import NODES, STEP_S, start
from heatwright.documents import load_source

SOURCES = ("toaster", "convection", "drawer", "hot-plate", "sand", "hot-air")
# duty, door, fan, mains, each held for a while
PHASES = [(150.0, 1.0, 0.0, 0.0, 0.95), (60.0, 0.0, 0.0, 0.0, 1.0), (60.0, 0.4, 0.8, 1.0, 1.0)]


def params_of(name: str) -> PlantParams:
    return load_source(name).plant_params()


def dop853(params: PlantParams, ambient_c: float) -> np.ndarray:
    """SciPy's DOP853, tolerances 1e-11 relative and 1e-10 C: states at every step's end."""
    c, y, rows = coefficients(params), np.array(start(ambient_c)), [np.array(start(ambient_c))]
    for seconds, *held in PHASES:
        drive = physics.settle(c, *held, ambient_c)
        times = np.arange(1, round(seconds / STEP_S) + 1) * STEP_S
        solution = solve_ivp(
            lambda _t, state, drive=drive: physics.rates(tuple(state), c, drive),
            (0.0, seconds), y, method="DOP853", t_eval=times, rtol=1e-11, atol=1e-10,
        )  # fmt: skip
        rows.extend(solution.y.T)
        y = solution.y[:, -1]
    return np.array(rows)


@pytest.mark.parametrize("name", SOURCES)
def test_every_node_against_scipy_dop853(name):
    params = params_of(name)
    parts = [
        inputs_table(
            np.full(round(seconds / STEP_S), duty), door=door, fan=fan, mains=mains, ambient_c=21.0
        )
        for seconds, duty, door, fan, mains in PHASES
    ]
    ours = simulate([params], np.concatenate(parts))[0]
    exact = dop853(params, 21.0)
    assert ours.shape == exact.shape
    worst = np.abs(ours - exact).max(axis=0)
    assert np.ptp(exact[:, NODES.index("board")]) > 40.0
    assert worst.max() <= 1e-3, dict(zip(NODES, worst, strict=True))


# Properties of air at a film temperature, from Incropera and others, Fundamentals of Heat and Mass
# Transfer, Table A.4: K, kinematic viscosity m2/s, conductivity W/mK, Prandtl number.
AIR = [(350.0, 20.92e-6, 30.0e-3, 0.700), (400.0, 26.41e-6, 33.8e-3, 0.690)]
PLATE_M = 0.1
# The same book, section 9.6.2: a horizontal plate counts with its area over its perimeter.
HORIZONTAL_M = PLATE_M / 4.0


def published_film(difference_k: float, film_k: float, viscosity, conductivity, prandtl) -> float:
    """Mean of hot side up and hot side down of a horizontal plate, by the package `ht`."""
    grashof = 9.81 * difference_k / film_k * HORIZONTAL_M**3 / viscosity**2
    up = ht.conv_free_immersed.Nu_horizontal_plate_McAdams(prandtl, grashof, buoyancy=True)
    down = ht.conv_free_immersed.Nu_horizontal_plate_McAdams(prandtl, grashof, buoyancy=False)
    return (up + down) / 2.0 * conductivity / HORIZONTAL_M


@pytest.mark.parametrize(("film_k", "viscosity", "conductivity", "prandtl"), AIR)
@pytest.mark.parametrize("difference_k", [10.0, 30.0, 50.0, 100.0])
def test_the_boards_still_air_film_against_ht(
    film_k, viscosity, conductivity, prandtl, difference_k
):
    p = params_of("toaster")
    ours = physics.film_w_m2k(-difference_k, p.free_w_m2k, p.free_exponent, 0.0)
    published = published_film(difference_k, film_k, viscosity, conductivity, prandtl)
    # One constant serves all film temperatures here; the correlations are good to 15-20 %.
    assert ours == pytest.approx(published, rel=0.10)


def test_the_fans_film_lies_where_ht_puts_forced_air():
    slow, fast = (
        ht.conv_external.Nu_external_horizontal_plate(v * PLATE_M / 20.92e-6, 0.7, L=PLATE_M)
        * 30.0e-3 / PLATE_M for v in (0.5, 3.0)
    )  # fmt: skip
    assert slow < params_of("convection").fan_w_m2k < fast


def test_radiation_against_the_linearised_law():
    # h = 4 sigma T^3: 32.48 W/m2K at 250 C for a black body (any heat transfer text).
    sigma = 5.670374419e-8
    by_difference = sigma * (physics.fourth(250.5) - physics.fourth(249.5))
    assert by_difference == pytest.approx(32.48, abs=0.005)


def test_a_lumped_sphere_heats_as_in_the_textbook():
    """Incropera and others, 6th ed., Example 5.1: a thermocouple junction in a gas at 200 C.

    h = 400 W/m2K, k = 20 W/mK, c = 400 J/kgK, 8500 kg/m3, a time constant of 1 s: D = 7.06e-4 m;
    from 25 to 199 C takes 5.2 s. Here the junction is the plant's small part in held air.
    """
    h, c, density, diameter = 400.0, 400.0, 8500.0, 7.06e-4
    area_m2 = pi * diameter**2
    capacity = density * pi * diameter**3 / 6.0 * c
    params = replace(
        params_of("toaster"), small_part_j_k=capacity, small_part_film_cm2=area_m2 * 1e4,
        free_w_m2k=0.0, fan_w_m2k=h, small_part_board_w_k=0.0, liner_board_cm2=0.0,
        element_board_cm2=0.0, air_j_k=1e12,
    )  # fmt: skip
    c_ = coefficients(params)
    drive = physics.settle(c_, 0.0, 0.0, 1.0, 1.0, 200.0)
    y, step_s, passed_s = (200.0, 200.0, 200.0, 200.0, 25.0, 25.0, 25.0, 25.0, 25.0), 0.01, 0.0
    while y[NODES.index("small_part")] < 199.0:
        y = physics.advance(y, c_, drive, step_s)
        passed_s += step_s
    time_constant_s = capacity / (h * area_m2)
    assert time_constant_s == pytest.approx(1.0, abs=0.001)
    assert passed_s == pytest.approx(time_constant_s * log(175.0), abs=step_s)
    assert passed_s == pytest.approx(5.165, abs=0.02)


def test_a_bead_lags_a_ramp_by_rate_times_its_time_constant():
    # First-order lag, any control text: behind a ramp by exactly rate * tau once settled.
    params = replace(params_of("toaster"), board_sensor_share=1.0, board_sensor_s=6.7)
    run = simulate([params], inputs_table(np.ones(480)))[0]
    board, bead = run[:, NODES.index("board")], run[:, NODES.index("board_sensor")]
    rate = (board[-1] - board[-41]) / (40 * STEP_S)
    assert board[-1] - bead[-1] == pytest.approx(rate * 6.7, rel=0.02)
