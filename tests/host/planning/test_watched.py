"""What a plan is given so that the controller can watch the source, and that somebody is there."""

import json
from dataclasses import replace

import numpy as np
import pytest

from core.plans import plain
from half_power_made import DUTY, LASTS_S, half_power
from heatcore import codes
from heatcore import plan as core
from heatcore.inputs import Inputs
from heatcore.loop import ControlLoop
from heatsim import seeds
from heatsim.plant import Plant
from heatsim.sensor import Sensor
from heatwright import sentences
from heatwright.documents import load_source
from heatwright.planning.attendance import CUE_C, LEAST_NOTICE_MS, attended, may_run_alone
from heatwright.planning.residual import noticed_after, residual_limits, segments, spread_of


@pytest.fixture(scope="module")
def toaster():
    return load_source("toaster").model_copy(update={"generation": 1})


@pytest.fixture(scope="module")
def bare(toaster):
    return half_power(toaster, "sensor")


@pytest.fixture(scope="module")
def watched(toaster, bare):
    return residual_limits(toaster, bare)


def doc_of(plan):
    return json.loads(plan[:-9])


def test_models_are_stable_and_heat_warms(toaster, bare):
    found = segments(toaster.plant_params(), core.read(bare), "sensor", 25.0)
    assert [one.from_ms for one in found] == [0, 60_000, 120_000]
    for one in found:
        poles = np.roots([1.0, -one.a1, -one.a2])
        assert max(abs(poles)) < 1.0
        assert one.b1 + one.b2 > 0


def test_only_rows_and_id_are_new(bare, watched):
    before, after = doc_of(bare), doc_of(watched)
    assert {key for key in before if before[key] != after[key]} == {"deviation", "id"}
    for row in after["deviation"]:
        warn_mk, trip_mk, count_mk_s = row[6:]
        assert 0 < warn_mk < trip_mk < 20_000
        assert count_mk_s > 0


def test_a_kind_only_known_is_watched_more_loosely(toaster, bare, watched):
    kind = toaster.model_copy(update={"generation": 0})
    assert (spread_of(kind), spread_of(toaster)) == (0.20, 0.06)
    loose, tight = doc_of(residual_limits(kind, bare)), doc_of(watched)
    for one, other in zip(loose["deviation"], tight["deviation"], strict=True):
        assert one[7] > other[7]


def test_a_plan_without_a_trajectory_stays_as_it_was(toaster):
    plan = core.write(plain())
    assert residual_limits(toaster, plan) == plan


def run(params, plan, mains=1.0, stuck=None, at_s=60):
    """The trip, and how long after `at_s` it came."""
    plant, given = Plant(params), Inputs()
    sensor = Sensor(noise_k=seeds.NOISE_K, seed=3)
    loop, bead_c = ControlLoop(core.read(plan)), 25.0
    given.host_age_ms = 0
    for tick in range(LASTS_S * 4):
        sensor.serve(tick * 250, bead_c, 25.0)
        sensor.fill(tick * 250, given)
        command = loop.tick(tick * 250, given)
        if command.trip:
            return command.trip, tick / 4 - at_s
        struck = stuck is not None and tick >= at_s * 4
        heat = stuck if struck else command.duty / 10_000
        bead_c = plant.step(0.25, heat, fan=1.0, mains=mains)["sensor"]
    return 0, None


@pytest.mark.parametrize("sign", [-1, 1])
def test_sound_sources_at_the_edge_are_left_alone(toaster, watched, sign):
    params = toaster.plant_params()
    edge = replace(params, power_w=params.power_w * (1 + 0.06 * sign))
    assert run(edge, watched, mains=1 + 0.1 * sign) == (0, None)


def test_a_weld_and_a_dead_heater_are_seen_in_time(toaster, watched):
    trip, after_s = run(toaster.plant_params(), watched, stuck=1.0)
    assert trip == codes.NOT_AS_EXPECTED
    assert after_s <= 35
    trip, after_s = run(toaster.plant_params(), watched, stuck=0.0)
    assert trip == codes.NOT_AS_EXPECTED
    assert after_s <= 25


def test_how_soon_a_fault_of_the_heater_is_noticed_is_told(toaster, watched, bare):
    for conducts, most_s in ((1.0, 35), (0.0, 25)):
        seconds, duty = noticed_after(toaster, watched, conducts)
        assert 0 < seconds <= most_s
        assert duty == pytest.approx(DUTY / 10_000)
    # without rows it takes a rise that the plan wants no heat for, or a minute without an answer
    assert noticed_after(toaster, bare, 1.0)[0] > noticed_after(toaster, watched, 1.0)[0]
    assert (noticed_after(toaster, bare, 0.0) or (99,))[0] > 25


def test_a_dead_heater_under_a_board_that_answers_late_is_seen_in_time():
    plate = load_source("hot-plate").model_copy(update={"generation": 1})
    reads = "board_sensor"
    watched = residual_limits(plate, half_power(plate, reads), reads=reads)
    seconds, _ = noticed_after(plate, watched, 0.0, reads=reads)
    assert 10 < seconds <= 35


def test_somebody_is_asked_before_reflow(bare):
    before, after = doc_of(bare), doc_of(attended(bare))
    [(at_ms, kind, cue_mc, wait_ms, duty)] = after["waits"]
    assert (at_ms, kind, duty) == (100_000, "press", DUTY)
    assert after["stretch_ms"] == before["stretch_ms"] + wait_ms
    asked_ms = np.interp(cue_mc, before["y_mc"], before["t_ms"])
    assert asked_ms <= at_ms - LEAST_NOTICE_MS + 250
    assert np.interp(asked_ms, before["t_ms"], before["b_mc"]) <= CUE_C * 1000
    assert after["id"] != before["id"]


def test_a_plan_that_never_gets_to_reflow_asks_nobody(bare):
    plan = core.write({**doc_of(bare), "stages": [[0, "preheat"]]})
    assert attended(plan) == plan


@pytest.mark.parametrize(
    ("cut_out", "unattended", "alone"),
    [(True, True, True), (True, False, False), (False, True, False), (False, False, False)],
)
def test_who_may_run_alone(toaster, cut_out, unattended, alone):
    ratings = toaster.ratings.model_copy(update={"cut_out": cut_out, "unattended": unattended})
    assert may_run_alone(toaster.model_copy(update={"ratings": ratings})) is alone


def test_every_trip_says_what_to_do():
    assert set(sentences.TRIP_ADVICE) == set(codes.TRIP_NAMES.values()) - {"none"}
