"""The second board of the evening, and runs that end before their first second."""

import pytest

from heatcontroller.states import BY_HOST, BY_PLAN
from heatcore import codes
from heatcore import plan as core
from heatsim.plant import Plant
from heatwright.documents import load_paste, load_profile, load_source
from heatwright.documents.bench import load_bench
from heatwright.documents.load import for_board
from heatwright.planning import warm
from heatwright.planning.model import BOARD, Model
from heatwright.planning.nominal import plan_for_source
from heatwright.planning.wanted import Wanted
from heatwright.running.begun import Begun, not_begun
from heatwright.running.connect import rig
from heatwright.running.job import Asked
from host.running.mine import document, run_in

WARM = Wanted(load_paste("sac305"), load_profile("sac305"), True, "board_sensor", start_c=72.0)
PLAN = core.read(plan_for_source(load_source("drawer").plant_params(), WARM).plan)


@pytest.mark.parametrize("source", ["drawer", "hot-plate"])
def test_a_cold_board_in_a_warm_source_is_no_weld_and_stays_in_the_plans_window(tmp_path, source):
    on = ("--on", f"sim:{source}", "--source", source, "--sensor", "board_sensor")
    told = document(run_in(tmp_path, *on, "--start-temp", "60", "--json"))
    assert told["trip"] is None
    assert told["outcome"] == "finished"
    assert told["true_peak_board_c"] > 230.0


def test_a_plan_for_a_warm_source_begins_where_arming_leaves_the_board():
    model = Model(load_source("drawer").plant_params())
    wanted = Wanted(load_paste("sac305"), load_profile("sac305"), start_c=72.0)
    laid, started = warm.laid(model, wanted), warm.started(model, wanted)
    assert laid[BOARD] == 25.0
    assert 30.0 < started[BOARD] < 60.0
    low_mc, high_mc, rest_s = PLAN.start
    assert low_mc <= 15_000
    assert started[BOARD] * 1000 < high_mc < 72_000
    assert rest_s == 0


def test_a_cold_one_begins_as_it_is():
    model = Model(load_source("drawer").plant_params())
    wanted = Wanted(load_paste("sac305"), load_profile("sac305"))
    assert warm.started(model, wanted) == warm.laid(model, wanted)


def event(by):
    return ["e", 2, 0, codes.EVENT_STOP, by, 0]


def test_what_is_said_of_a_run_that_gave_no_heat():
    found = not_begun(event(BY_PLAN), PLAN, False)
    assert found.exit_code == 5
    assert "heatwright plan --start now" in str(found)
    assert (not_begun(event(BY_HOST), PLAN, False).exit_code) == 6
    assert (not_begun(event(BY_HOST), PLAN, True).exit_code) == 130
    assert "nothing was heated" in str(not_begun([], PLAN, True))


def test_a_run_has_begun_with_its_first_sample():
    seen = []
    begun = Begun(seen.append)
    begun(event(BY_HOST))
    assert not begun
    assert begun.last == event(BY_HOST)
    begun(["s", 3, 0])
    assert begun
    assert len(seen) == 2


def warmed_c(plant):
    plant.reset(25.0)
    return plant.step(200.0, 1.0)["board"]


def test_the_simulated_source_has_the_board_in_it_that_is_described():
    own, described = (rig(Asked("sim:toaster", board=one, seed=0)) for one in (None, "bat-logger"))
    bench = load_bench(load_paste("sac305"), "bat-logger")
    assert bench.board is not None
    params = for_board(load_source("toaster").plant_params(), bench.board, bench.fitted)
    assert warmed_c(described.plant) == warmed_c(Plant(params))
    assert abs(warmed_c(own.plant) - warmed_c(described.plant)) > 1.0
