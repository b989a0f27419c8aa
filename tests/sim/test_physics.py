"""The three ways through one right-hand side agree, and energy is neither made nor lost."""

from dataclasses import replace
from types import FunctionType

import numpy as np
import pytest

from heatsim import compiled, physics
from heatsim.batch import inputs_table, simulate, simulate_compiled
from heatsim.coefficients import coefficients
from heatsim.compiled import engine
from heatsim.params import PlantParams
from heatsim.plant import NODES, STEP_S, Plant, start
from heatwright.documents import load_source

SOURCES = ("toaster", "convection", "drawer", "hot-plate", "sand", "hot-air")


def params_of(name: str) -> PlantParams:
    return load_source(name).plant_params()


def busy_inputs(steps: int = 1600) -> np.ndarray:
    """Full power, coasting, half power; the door opens, the fan runs, the mains sag."""
    time_s = np.arange(steps) * STEP_S
    return inputs_table(
        np.select([time_s < 150, time_s < 200], [1.0, 0.0], 0.5),
        door=(time_s > 300) * 0.7,
        fan=(time_s > 250) * 1.0,
        mains=1.0 - 0.08 * (time_s > 100),
        ambient_c=19.0,
    )


def plain_trajectory(params: PlantParams, inputs: np.ndarray) -> np.ndarray:
    plant = Plant(params)
    plant.reset(inputs[0, 4])
    rows = [list(plant.state)]
    for duty, door, fan, mains, _ambient in inputs:
        rows.append(list(plant.step(STEP_S, duty, door, fan, mains).values()))
    return np.array(rows)


@pytest.mark.parametrize("name", SOURCES)
def test_plain_batch_and_compiled_agree(name):
    inputs = busy_inputs()
    sources = [params_of(name), replace(params_of(name), board_j_k=20.0)]
    batch, compiled = simulate(sources, inputs), simulate_compiled(sources, inputs)
    plain = np.array([plain_trajectory(params, inputs) for params in sources])
    assert np.ptp(plain[0, :, NODES.index("board")]) > 50.0
    assert np.abs(batch - plain).max() < 1e-9
    assert np.abs(compiled - plain).max() < 1e-9


def test_each_source_of_a_batch_may_have_its_own_inputs():
    sources = [params_of("toaster"), params_of("drawer")]
    inputs = np.stack([busy_inputs(200), inputs_table(np.ones(200), ambient_c=30.0)])
    together = simulate(sources, inputs)
    apart = [simulate([one], mine)[0] for one, mine in zip(sources, inputs, strict=True)]
    assert np.abs(together - np.array(apart)).max() < 1e-9
    assert np.abs(simulate_compiled(sources, inputs) - together).max() < 1e-9


def stored_j(params: PlantParams, state: np.ndarray) -> float:
    """Heat above 0 C in all nodes but the beads, which hold none; exact for the rising board."""
    p = params
    held = (p.element_j_k, p.air_j_k, p.liner_j_k, p.shell_j_k)
    parts = p.small_part_j_k * state[5] + p.large_part_j_k * state[6]
    board = p.board_j_k * (
        (1.0 - 25.0 * p.board_rise_per_k) * state[4] + p.board_rise_per_k * state[4] ** 2 / 2.0
    )
    return float(np.dot(held, state[:4]) + parts + board)


def closed(params: PlantParams) -> PlantParams:
    """The same source with every path to the room shut off."""
    return replace(
        params, leak_w_k=0.0, shell_room_w_k=0.0, shell_open_cm2=0.0, element_open_cm2=0.0,
        liner_open_cm2=0.0, board_open_cm2=0.0, flow_w_k=0.0, structure="oven",
    )  # fmt: skip


@pytest.mark.parametrize("name", SOURCES)
def test_a_closed_source_keeps_every_joule(name):
    params = closed(params_of(name))
    duty = np.select([np.arange(1200) < 500, np.arange(1200) < 800], [0.6, 0.0], 0.3)
    run = simulate([params], inputs_table(duty, mains=0.9))[0]
    given = float(np.sum(duty)) * STEP_S * params.power_w * 0.9**2
    gained = stored_j(params, run[-1]) - stored_j(params, run[0])
    assert gained == pytest.approx(given, rel=1e-6)


def lost_w(params: PlantParams, state: np.ndarray, door: float, ambient_c: float) -> float:
    """What goes to the room, written from the parameters' own meaning, not from the plant."""
    sigma = 5.670374419e-8
    p = params
    element, air, liner, shell, board, small, large = state[:7]
    kelvin4 = {k: (v + 273.15) ** 4 for k, v in zip("ealsbpq", state[:7], strict=True)}
    room4 = (ambient_c + 273.15) ** 4
    kept = 1.0 - p.lift_share * door
    seen = p.element_board_cm2 * kept + p.liner_board_cm2 * kept * (1 - p.door_view_share * door)
    to_room_cm2 = p.element_board_cm2 + p.liner_board_cm2 + p.board_open_cm2 - seen
    felt = ambient_c + kept * (air - ambient_c)
    film = p.free_w_m2k * abs(felt - board) ** 0.25 + p.door_w_m2k * door
    film += p.fan_w_m2k * p.own_fan_share
    lost = (p.leak_w_k + p.door_leak_w_k * door) * (air - ambient_c)
    lost += p.shell_room_w_k * (shell - ambient_c)
    lost += sigma * 1e-4 * p.shell_open_cm2 * (kelvin4["s"] - room4)
    lost += sigma * 1e-4 * p.element_open_cm2 * (kelvin4["e"] - room4)
    lost += sigma * 1e-4 * (p.liner_open_cm2 + p.door_open_cm2 * door) * (kelvin4["l"] - room4)
    areas_cm2 = (p.board_film_cm2, p.small_part_film_cm2, p.large_part_film_cm2)
    for body, key, area_cm2 in zip((board, small, large), "bpq", areas_cm2, strict=True):
        share = area_cm2 / p.board_film_cm2
        lost += sigma * 1e-4 * share * to_room_cm2 * (kelvin4[key] - room4)
        lost += film * area_cm2 * 1e-4 * (1.0 - kept) * (body - ambient_c)
    assert element > ambient_c
    assert liner > ambient_c
    return float(lost)


@pytest.mark.parametrize("name", ["toaster", "convection", "drawer", "hot-plate", "sand"])
@pytest.mark.parametrize("door", [0.0, 0.6])
def test_energy_balance_closes_with_the_room(name, door):
    params = params_of(name)
    run = simulate([params], inputs_table(np.ones(1200), door=door))[0]
    lost = sum(lost_w(params, state, door, 25.0) for state in (run[1:] + run[:-1]) / 2) * STEP_S
    gained = stored_j(params, run[-1]) - stored_j(params, run[0])
    given = params.power_w * 1200 * STEP_S
    assert gained + lost == pytest.approx(given, rel=2e-4)
    assert lost > 0.02 * given


def test_nothing_moves_at_room_temperature_without_power():
    for name in SOURCES:
        plant = Plant(params_of(name))
        plant.reset(18.0)
        plant.step(60.0, 0.0, door=1.0, fan=1.0)
        assert plant.state == pytest.approx([18.0] * 9, abs=1e-9)


def test_power_goes_with_the_square_of_the_mains():
    params = coefficients(params_of("toaster"))
    heat = [physics.settle(params, 0.5, 0.0, 0.0, mains, 25.0)[2] for mains in (1.0, 0.9)]
    assert heat == pytest.approx([550.0, 550.0 * 0.81])


def test_a_warm_start_has_a_cold_board():
    state = dict(zip(NODES, start(20.0, 80.0), strict=True))
    assert (state["element"], state["liner"], state["sensor"]) == (80.0, 80.0, 80.0)
    assert (state["board"], state["small_part"], state["board_sensor"]) == (20.0, 20.0, 20.0)
    assert state["shell"] == 50.0


def test_a_plant_runs_on_the_compiled_twin_too():
    params = params_of("drawer")
    plain, fast = Plant(params), Plant(params, engine())
    for row in busy_inputs(400)[:, :4]:
        assert fast.step(STEP_S, *row) == pytest.approx(plain.step(STEP_S, *row), abs=1e-9)


def test_the_twin_leaves_the_plain_functions_as_they_are():
    engine()
    assert isinstance(physics.rates, FunctionType)
    assert not isinstance(engine().rates, FunctionType)


def test_no_folder_for_a_cache_is_no_error():
    made: dict[str, FunctionType] = {}
    exec("def one_more(x): return x + 1.0", made)  # from no file: numba has nowhere to cache it
    assert compiled._compile(made["one_more"])(1.5) == 2.5


def test_a_long_step_is_cut_into_short_ones():
    params = params_of("toaster")
    one, many = Plant(params), Plant(params)
    for _ in range(40):
        many.step(STEP_S, 1.0)
    assert one.step(10.0, 1.0) == pytest.approx(many.temperatures(), abs=1e-9)
