"""When a plan may start on a source still warm, and for which board it was made."""

from dataclasses import replace

import numpy as np
import pytest

from heatcore import plan as core
from heatwright.documents import Board, load_paste, load_profile, load_source
from heatwright.errors import BadInput
from heatwright.planning import starting, warm
from heatwright.planning.model import Model
from heatwright.planning.nominal import plan_for_source
from heatwright.planning.suits import board_warning, check_sensor
from heatwright.planning.wanted import Wanted

SOURCE = load_source("drawer")
MODEL = Model(SOURCE.plant_params())
SMALL = {"length_mm": 70.0, "width_mm": 45.0}


@pytest.fixture(scope="module")
def plan():
    wanted = Wanted(load_paste("sac305"), load_profile("sac305"), True, "sensor")
    return core.read(plan_for_source(SOURCE.plant_params(), wanted).plan)


def test_the_window_of_the_start_is_told(plan):
    said = "Starts with the sensor at 15 to 35 °C, 10 min or more after the last heat."
    assert starting.window(plan) == said


def test_a_source_too_warm_is_told_how_long_it_takes(plan):
    said = starting.ready(MODEL, plan, 72.0)
    assert said.startswith("Now: oven 72 °C; ready in about ")
    minutes = int(said.split("about ")[1].split(" min")[0])
    state = warm.rested(MODEL, warm.at_reading(MODEL, 72.0), 60.0 * minutes)
    assert state[7] == pytest.approx(35.0, abs=2.0)
    assert starting.ready(MODEL, plan, 30.0) == "Now: oven 30 °C; ready."


def test_a_room_too_warm_for_a_cold_plan_is_told_and_not_waited_for(plan):
    said = starting.ready(Model(SOURCE.plant_params(), 38.0), plan, 60.0)
    assert "will not get cool enough in a room of 38 °C" in said


def test_a_plan_for_the_sensor_in_the_other_place_is_refused(plan):
    check_sensor(SOURCE, plan, "sensor", 25.0, "plan.json")
    with pytest.raises(BadInput) as refused:
        check_sensor(SOURCE, plan, "board_sensor", 25.0, "plan.json")
    (fault,) = refused.value.faults
    assert fault.where == "plan.json"
    assert fault.expected == "the control sensor where the source has it"
    assert fault.found.startswith("the control sensor on the board, which would read up to ")
    assert "heatwright plan --sensor board_sensor" in fault.cure
    on_board = Wanted(load_paste("sac305"), load_profile("sac305"), True, "board_sensor")
    other = core.read(plan_for_source(SOURCE.plant_params(), on_board).plan)
    check_sensor(SOURCE, other, "board_sensor", 25.0, "plan.json")
    with pytest.raises(BadInput, match="expected: the control sensor on the board"):
        check_sensor(SOURCE, other, "sensor", 25.0, "plan.json")


def test_a_bead_that_lags_far_behind_on_another_oven_is_still_a_bead_on_the_board():
    params = replace(SOURCE.plant_params(), board_sensor_s=8.0)
    on_board = Wanted(load_paste("sac305"), load_profile("sac305"), True, "board_sensor")
    plan = core.read(plan_for_source(params, on_board).plan)
    assert np.abs(np.subtract(plan.y_mc, plan.b_mc)).max() > 10_000
    for name in ("drawer", "toaster", "convection"):
        check_sensor(load_source(name), plan, "board_sensor", 25.0, "plan.json")


def test_a_plan_for_a_small_board_is_not_used_blindly_on_a_heavy_one(plan):
    heavy = Board(name="heavy", **SMALL, thickness_mm=3.2, copper_percent=70.0, layers=6)
    said = board_warning(SOURCE, plan, heavy, (), 25.0)
    # twice the laminate and more copper, on the source's own 12.7 J/K
    assert "Yours takes 1" in said
    assert "12.7 J/K" in said
    assert "where it promises 24" in said


def test_a_board_like_the_one_planned_for_is_not_warned_of(plan):
    # 1.9 mm of FR-4 take the 10.5 J/K that the source was learnt with
    like = Board(name="like", **SMALL, thickness_mm=1.9, copper_percent=0.0)
    assert board_warning(SOURCE, plan, like, (), 25.0) == ""
