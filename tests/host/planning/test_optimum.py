"""The constrained optimum: windows held, margins grown, limits kept, slopes right."""

from dataclasses import replace

import numpy as np
import pytest

from heatcore import plan as core
from heatwright.documents import load_paste, load_profile, load_source
from heatwright.documents.bench import load_bench
from heatwright.planning import optimum
from heatwright.planning.course import Course
from heatwright.planning.model import LARGE, Model
from heatwright.planning.nominal import plan_for_source
from heatwright.planning.optimum import SLEW_A_SECOND, Shooting, polished, shares
from heatwright.planning.trajectory import End, Heating, finish, heat
from heatwright.planning.wanted import Wanted

PASTE = load_paste("sac305")
WANTED = Wanted(PASTE, load_profile("sac305"), peak_may_move=True, reads="board_sensor")
MOST = 0.79


@pytest.fixture(scope="module")
def both():
    """A guess along the profile and the optimum near it, on the drawer."""
    model = Model(load_source("drawer").plant_params())
    how = Heating(245.0, 0.81, 30.0, 5.0)
    course = Course(WANTED.profile, 25.0, 255.0)
    moments = heat(model, model.start(), course, how)
    guess = finish(model, moments, course, how, End(242.0, True), PASTE.above_c)
    shooting = Shooting(model, model.start(), WANTED, True, MOST, guess.cut_s)
    return shooting, guess, polished(shooting, guess)


def test_what_the_guess_holds_stays_held_and_the_smallest_margin_grows(both):
    _, guess, found = both
    before, after = shares(guess, WANTED), shares(found, WANTED)
    assert all(after[key] >= -1e-3 for key, value in before.items() if value >= 0)
    assert min(after.values()) > min(before.values())


def test_duty_keeps_its_limits_and_changes_no_faster_than_an_element_can_follow(both):
    _, _, found = both
    hot = found.time_s <= found.cut_s
    assert found.duty.min() >= 0.0
    assert found.duty.max() <= MOST + 1e-9
    rate = np.abs(np.diff(found.duty[hot]) / np.diff(found.time_s[hot]))
    assert rate.max() <= 1.5 * SLEW_A_SECOND


def test_the_stages_begin_where_the_board_passes_the_pastes_temperatures(both):
    _, _, found = both
    at = {name: np.interp(s, found.fine_s, found.fine[:, 4]) for s, name in found.starts}
    assert at["soak"] == pytest.approx(150.0, abs=0.5)
    assert at["ramp_up"] == pytest.approx(200.0, abs=0.5)
    assert at["reflow"] == pytest.approx(217.0, abs=0.5)


def test_slopes_are_those_of_the_cost(both):
    shooting, guess, _ = both
    x = optimum._first(shooting, guess)
    problem = optimum._Problem(shooting, shooting.shares(x))
    slope, step = problem.cost_slope(x), 1e-4
    for index in (0, 5, len(x) - 1):
        moved = x.copy()
        moved[index] += step
        assert (problem.cost(moved) - problem.cost(x)) / step == pytest.approx(
            slope[index], abs=0.02 * np.abs(slope).max()
        )


def test_the_large_part_must_melt_too():
    params = load_source("hot-plate").plant_params()
    heavy = replace(params, large_part_j_k=1.4 * params.large_part_j_k)
    planned = plan_for_source(heavy, WANTED)
    assert planned.trajectory.fine[:, LARGE].max() > PASTE.liquidus_c
    assert planned.trajectory.board_c.max() < PASTE.window.peak_c.high


def test_a_fragile_part_bounds_the_peak():
    bench = load_bench(PASTE, "bat-logger")
    measures = plan_for_source(
        load_source("drawer").plant_params(),
        replace(WANTED, board=bench.board, fitted=bench.fitted),
    ).measures
    near = [m for m in measures if m.name == "part_near_peak"]
    # the electrolytic capacitor: 10 s within 5 C of its 250 C
    assert min(m.high for m in near) == 10.0
    assert all(m.margin >= 0 for m in near)


def test_a_plan_of_over_twenty_minutes_still_fits_the_controller():
    slow = replace(load_source("hot-plate").plant_params(), power_w=420.0, liner_shell_w_k=0.2)
    slow = replace(slow, liner_j_k=2 * slow.liner_j_k)
    wanted = replace(WANTED, profile=load_profile("sac305"))
    planned = plan_for_source(slow, wanted)
    plan = core.read(planned.plan)
    assert plan.t_ms[-1] > 900_000
    # room is left for a row of deviations a minute, 55 bytes each
    assert len(planned.plan) + 55 * (plan.t_ms[-1] // 60_000 + 1) <= core.BYTES_MAX
