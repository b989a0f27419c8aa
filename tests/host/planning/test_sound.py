"""The fault-free sources that a plan's thresholds come from: how they begin, and what they show."""

import json
from dataclasses import replace
from itertools import islice

import pytest

from half_power_made import half_power
from heatcore import plan as core
from heatcore.drift import MILLE
from heatcore.limits import DRIFT_BEGIN_BLOCKS, DRIFT_SETTLE_BLOCKS
from heatcore.residual import BLOCK_TICKS
from heatsim import seeds
from heatsim.mains import OFF_NOMINAL
from heatwright.documents import load_source
from heatwright.planning import sound
from heatwright.planning.residual import DRIFT_ROOM, TRIP_ROOM, residual_limits

FAR = core.DEVIATION_MAX
SPREAD = seeds.MEASURED_SPREAD


@pytest.fixture(scope="module")
def plate():
    return load_source("hot-plate").model_copy(update={"generation": 1})


@pytest.fixture(scope="module")
def ensemble(plate):
    return list(sound.ensemble(plate.plant_params(), SPREAD))


def test_draws_begin_as_runs_do_and_twice_the_same(plate, ensemble):
    drawn = ensemble[2:]
    assert len(drawn) == sound.DRAWS + sound.BEGINNINGS
    assert all(0.0 <= one.warm_k <= seeds.WARM_K for one in drawn)
    assert all(seeds.RESTED_S[0] <= one.rest_s <= seeds.RESTED_S[1] for one in drawn)
    assert max(one.warm_k for one in drawn) > 0.75 * seeds.WARM_K
    again = list(sound.ensemble(plate.plant_params(), SPREAD))
    assert [one.params for one in again] == [one.params for one in ensemble]
    assert [one.warm_k for one in again] == [one.warm_k for one in ensemble]


def test_the_edges_are_those_of_power_and_mains(plate, ensemble):
    nominal_w = plate.plant_params().power_w
    edges = [*ensemble[:2], *ensemble[2 + sound.DRAWS :]]
    for one in edges:
        sign = 1 if one.mains.level > 1.0 else -1
        assert one.mains.level == pytest.approx(1.0 + sign * OFF_NOMINAL)
        assert one.params.power_w == pytest.approx(nominal_w * (1.0 + sign * SPREAD))
    assert {one.mains.level > 1.0 for one in edges} == {True, False}
    assert [one.until_ms for one in edges[2:]] == [sound.BEGINNING_MS] * sound.BEGINNINGS


def test_a_warm_source_has_warmed_its_board_by_the_time_heat_begins(ensemble):
    one = replace(ensemble[2], warm_k=seeds.WARM_K, rest_s=60.0)
    nodes = one.plant(25.0).temperatures()
    assert 25.3 < nodes["board"] < 25.0 + seeds.WARM_K
    assert nodes["sensor"] < 25.0 + seeds.WARM_K
    laid = replace(one, state=tuple(40.0 for _ in nodes))
    assert set(laid.plant(25.0).temperatures().values()) == {40.0}


def test_what_is_shown_is_told_block_by_block(plate, ensemble):
    plan = half_power(plate, "sensor")
    row = [0, 60_000, 0, 6_000, 0, 16, FAR, FAR, FAR]
    doc = {**json.loads(plan[:-9]), "deviation": [row, [60_000, *row[1:]]]}
    watched = sound.Watched(core.write(doc), [0, 60_000], 80_000, "sensor", 25.0)
    course = sound.courses(islice(ensemble, 1), watched)[0]
    assert len(course) == 80 * 4 // BLOCK_TICKS
    assert [block.segment for block in course] == [0] * 30 + [1] * 10
    most = sound.most_pushed([course], 2)
    assert most[1] == max(abs(block.push_mk) for block in course[30:])
    again = next(sound.ensemble(plate.plant_params(), SPREAD))
    short = sound.courses([replace(again, until_ms=20_000)], watched)[0]
    assert len(short) == 20 * 4 // BLOCK_TICKS


def test_a_gap_is_no_movement():
    settle = [sound.Block(0, 0)] * (DRIFT_BEGIN_BLOCKS + 1)
    up = [sound.Block(0, 1_000)] * 60
    gap = [sound.Block(0, None)]
    assert 990 <= sound.most_drifted([settle + up], [1_000]) <= 1_000
    assert sound.most_drifted([settle + gap + up[:DRIFT_SETTLE_BLOCKS]], [1_000]) == 0
    # held against all of the run, before a gap too, and the thresholds of where it stands
    assert 490 <= sound.most_drifted([settle + gap + up], [2_000]) <= 500


def test_thresholds_leave_room_for_what_moves_within_a_run(plate, monkeypatch):
    plan = half_power(plate, "sensor")
    plain = core.read(residual_limits(plate, plan)).deviation[core.TRIP_MK]
    monkeypatch.setattr(sound, "most_drifted", lambda courses, trips_mk: 2 * MILLE)
    wider = core.read(residual_limits(plate, plan)).deviation[core.TRIP_MK]
    assert wider == pytest.approx(2 * DRIFT_ROOM * plain, rel=0.1)
    assert TRIP_ROOM > 1.0
