"""Trials: the core on drawn sources; the ensemble gives the same wherever it runs."""

import json
import os
from concurrent.futures import BrokenExecutor
from contextlib import contextmanager
from dataclasses import replace

import numpy as np
import pytest

from core.plans import document
from heatcore import plan as core
from heatsim.mains import Mains
from heatsim.plant import Plant
from heatsim.sensor import Sensor
from heatwright.documents import load_paste, load_profile, load_source
from heatwright.planning import ensemble
from heatwright.planning.ensemble import Verified, verify
from heatwright.planning.making import make_plan
from heatwright.planning.model import BOARD, Model
from heatwright.planning.trial import Oven, Trial, draw, run
from heatwright.planning.wanted import Wanted
from heatwright.sentences import LABELS

SOURCE = load_source("drawer")
WANTED = Wanted(load_paste("sac305"), load_profile("sac305"), True, "board_sensor")


@pytest.fixture(scope="module")
def planned():
    return make_plan(SOURCE, WANTED)


def test_the_compiled_model_is_the_plant_itself():
    params = SOURCE.plant_params()
    plant, duty = Plant(params), np.linspace(0.2, 0.9, 400)
    plain = [plant.step(0.25, u, fan=1.0)["board"] for u in duty]
    model = Model(params)
    assert np.abs(model.run(model.start(), duty)[1:, BOARD] - plain).max() < 1e-9


def test_on_the_nominal_source_the_core_follows_the_plan(planned):
    plan = core.read(planned.plan)
    found = run(Oven(SOURCE.plant_params(), Mains(), Sensor()), plan, "board_sensor")
    wanted_c = np.interp(1000 * found.plan_s, plan.t_ms, plan.b_mc) / 1000
    hot = found.plan_s < plan.door_cue_ms / 1000
    off_k = found.states[hot, BOARD] - wanted_c[hot]
    # nothing is in the way there but steps of the reading, of time and of the plan itself
    assert np.sqrt(np.mean(off_k**2)) < 0.1
    assert np.abs(off_k).max() < 0.4
    assert not found.trip


def test_feedback_holds_the_course_on_a_weaker_source(planned):
    plan = core.read(planned.plan)
    params = SOURCE.plant_params()
    weak = replace(params, power_w=0.85 * params.power_w)
    found = run(Oven(weak, Mains(), Sensor(noise_k=0.15, seed=1)), plan, "board_sensor")
    assert found.states[:, BOARD].max() == pytest.approx(max(plan.b_mc) / 1000, abs=2.5)


def test_draws_follow_the_files_own_uncertainty():
    powers = np.array([draw(SOURCE, seed).params.liner_j_k for seed in range(1, 200)])
    logs = np.log(powers / SOURCE.plant_params().liner_j_k)
    assert abs(logs.mean()) < 0.05
    assert logs.std() == pytest.approx(SOURCE.relative_sd()["liner_j_k"], rel=0.2)
    assert draw(SOURCE, 7).params == draw(SOURCE, 7).params
    assert draw(SOURCE, 0).params == SOURCE.plant_params()


def test_the_ensemble_gives_the_same_here_and_in_processes(planned, tmp_path):
    trial = Trial(planned.plan, SOURCE, WANTED)
    here = verify(trial, 6, workers=1)
    there = verify(trial, 6, workers=2, kept_in=tmp_path / "kept.jsonl")
    assert here.results == there.results
    assert here.sources == 6
    assert here.in_window >= 5
    # what is kept is not run again
    assert verify(trial, 6, workers=1, kept_in=tmp_path / "kept.jsonl").results == here.results


def test_a_killed_worker_loses_nothing(monkeypatch):
    broken = []

    class Dies(Trial):
        def __call__(self, seed):
            if seed == 3 and not broken:
                broken.append(os.getpid())
                raise BrokenExecutor("a worker was killed")
            return {"works": True, "missed": [], "trip": None, "mains": 1.0}

    @contextmanager
    def inline(cluster, workers):
        yield None

    monkeypatch.setattr(ensemble, "_executor", inline)
    found = verify(Dies(b"", SOURCE, WANTED), 20)
    assert (found.sources, found.in_window, len(broken)) == (20, 20, 1)


def result(works=True, missed=(), trip=None, mains=1.0):
    return {"works": works, "missed": [list(m) for m in missed], "trip": trip, "mains": mains}


def test_the_sentence_says_how_many_and_why_not():
    cold = result(False, [("large_part_peak", True, True)], mains=0.91)
    results = {1: result(), 2: cold, 3: cold, 4: result(missed=[("soak", True, False)])}
    found = Verified(results)
    assert (found.sources, found.in_window, found.soft) == (4, 2, {"soak": 1})
    assert found.sentence() == (
        "Works in 2 of 4 simulated ovens like yours; the 2 misses: 2 cold joint at the large part "
        "with mains low."
    )
    assert found.soft_sentence().endswith("in so many of them: the soak 1.")
    tripped = Verified({1: result(False, trip="sensor_rate")})
    assert "; the one miss: 1 stopped" in tripped.sentence()
    assert "stopped for safety (sensor rate)" in tripped.sentence()
    assert Verified({1: result()}).sentence() == "Works in 1 of 1 simulated ovens like yours."
    assert Verified({1: result()}).soft_sentence() == ""


def test_mains_are_named_only_where_they_can_be_the_reason():
    hot, cold = ("peak", False, True), ("peak", True, True)
    for missed, mains, named in ((hot, 0.9, False), (hot, 1.1, True), (cold, 1.1, False)):
        said = Verified({1: result(False, [missed], mains=mains)}).sentence()
        assert ("with mains" in said) == named


def test_every_window_missed_softly_has_a_name_that_reads():
    for name in LABELS:
        said = Verified({1: result(missed=[(name, False, False)])}).soft_sentence()
        assert said.endswith(" 1.")
        assert not set("{}_") & set(said)


def test_a_trial_reckons_with_a_sensor_that_rises_long_after_the_end():
    sand = load_source("sand")
    heats = document(waits=[], stretch_ms=0, u=[9_800] * 5 + [0], y_mc=[290_000] * 6)
    plan = core.read(core.write({**heats, "limits": {**heats["limits"], "sensor_max_mc": 295_000}}))
    found = run(Oven(sand.plant_params(), Mains(), Sensor()), plan, "sensor")
    assert found.highest_c > found.states[-1, 7] + 5.0


def test_what_a_trial_tells_is_plain_and_names_what_was_missed():
    told = Trial(core.write(document(waits=[], stretch_ms=0)), SOURCE, WANTED)(3)
    assert json.loads(json.dumps(told)) == told
    assert not told["works"]
    assert ["large_part_peak", True, True] in told["missed"]
