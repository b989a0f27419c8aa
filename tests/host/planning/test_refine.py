"""Refinement: what a run teaches, what is left out, and that every generation stays."""

import json
import os
import re
from dataclasses import replace
from random import Random

import numpy as np
import pytest
from click.testing import CliRunner

from heatcore import plan as core
from heatcore.line import CRC_DIGITS
from heatsim import seeds
from heatsim.mains import Mains
from heatsim.plant import NODES
from heatsim.sensor import Sensor
from heatwright.commands import main
from heatwright.documents import load_paste, load_profile, load_source
from heatwright.planning.learning import DUTY_STEP, SENSOR_STEP_K, Ran, learn, taught
from heatwright.planning.model import BOARD, Model
from heatwright.planning.nominal import plan_for_source
from heatwright.planning.plan_file import with_id
from heatwright.planning.trial import Oven, run
from heatwright.planning.wanted import Wanted

PARAMS = load_source("drawer").plant_params()
BEAD, SENSOR = NODES.index("board_sensor"), NODES.index("sensor")


@pytest.fixture(scope="module")
def planned():
    wanted = Wanted(load_paste("sac305"), load_profile("sac305"), True, "sensor")
    return plan_for_source(PARAMS, wanted).plan


def flown(oven, plan):
    """A run of a plan on its own clock, and the board's error from soak to after the peak, K."""
    found = run(oven, plan, "sensor")
    moves = np.append(True, np.diff(found.plan_s) > 0)
    seconds = np.arange(int(found.plan_s[-1]), dtype=np.float64)
    on_clock = [
        np.interp(seconds, found.plan_s[moves], column[moves])
        for column in (found.duty, *found.states.T[[SENSOR, BEAD, BOARD]])
    ]
    wanted_c = np.interp(1000 * seconds, plan.t_ms, plan.b_mc) / 1000
    hot = (1000 * seconds >= plan.stages[2]) & (seconds <= seconds[wanted_c.argmax()] + 15)
    return Ran(*on_clock[:3]), np.sqrt(np.mean((on_clock[3] - wanted_c)[hot] ** 2))


def test_the_third_run_on_ovens_nobody_measured_is_far_nearer_than_the_first(planned):
    runs = np.array([three_runs(planned, seed) for seed in (2, 5)])
    assert runs[:, 2].mean() <= 0.15 * runs[:, 0].mean()


def three_runs(data, seed):
    """Errors of three runs on one oven, each taught by the one before."""
    params = seeds.variation(PARAMS, seeds.KIND_SPREAD, Random(f"refined {seed}"))
    errors = []
    for number in range(3):
        oven = Oven(params, Mains(), Sensor(noise_k=0.15, seed=number))
        ran, error_k = flown(oven, core.read(data))
        errors.append(error_k)
        data = taught(data, learn(core.read(data), Model(PARAMS), ran, reads_board=False))
    return errors


def test_a_run_that_went_as_planned_teaches_next_to_nothing(planned):
    plan = core.read(planned)
    ran, _ = flown(Oven(PARAMS, Mains(), Sensor()), plan)
    lesson = learn(plan, Model(PARAMS), ran, reads_board=False)
    assert lesson.rms_k < 1.0
    assert lesson.duty_change < 0.06


def test_no_generation_changes_more_than_its_bound(planned):
    plan = core.read(planned)
    weak = replace(PARAMS, power_w=0.5 * PARAMS.power_w)
    ran, _ = flown(Oven(weak, Mains(), Sensor()), plan)
    lesson = learn(plan, Model(PARAMS), ran, reads_board=False)
    assert lesson.bounded
    assert lesson.duty_change <= DUTY_STEP + 1e-9
    assert lesson.sensor_change_k <= SENSOR_STEP_K + 1e-9
    assert lesson.duty.max() <= 0.98


def call(folder, *arguments):
    before = os.getcwd()
    os.chdir(folder)
    try:
        return CliRunner().invoke(main, arguments)
    finally:
        os.chdir(before)


ON = ("--on", "sim:drawer", "--source", "drawer")


@pytest.fixture(scope="module")
def place(tmp_path_factory):
    """A plan, a whole run of it, and one that a fault stopped."""
    folder = tmp_path_factory.mktemp("refine")
    sensor = ("--sensor", "board_sensor")
    call(folder, "plan", "--source", "drawer", *sensor, "--ensemble", "0")
    call(folder, "run", *ON, *sensor, "--plan", "plan.json", "--seed", "4", "--out", "whole")
    fault = ("--fault", "sensor-open@60", "--out", "faulty")
    call(folder, "run", *ON, *sensor, "--plan", "plan.json", *fault)
    call(folder, "plan", "--source", "drawer", "--ensemble", "0", "--out", "air.json")
    call(folder, "run", *ON, "--plan", "air.json", "--seed", "4", "--out", "blind")
    return folder


def only(folder):
    return str(next(folder.iterdir()))


def test_refine_writes_the_next_generation_and_leaves_the_first(place):
    before = (place / "plan.json").read_bytes()
    whole, faulty = only(place / "whole"), only(place / "faulty")
    found = call(place, "refine", "plan.json", whole, faulty, "--json")
    told = json.loads(found.stdout)
    assert (told["how"], told["plan"], told["generation"]) == ("learning", "plan.g2.json", 2)
    assert told["picture"] == "plan.g2.png"
    assert (place / "plan.g2.png").read_bytes().startswith(b"\x89PNG")
    assert told["used"] == [whole]
    assert told["left_out"] == {faulty: "it was stopped for safety"}
    assert told["expected_rms_k"] <= told["rms_k"] < 3.0
    assert (place / "plan.json").read_bytes() == before
    first, second = (core.read((place / n).read_bytes()) for n in ("plan.json", "plan.g2.json"))
    assert first.id != second.id
    assert first.b_mc == second.b_mc
    assert first.limits == second.limits
    again = call(place, "refine", "plan.json", whole)
    assert "Nothing new: generation 2 is this very plan, plan.g2.json" in again.stdout
    assert "the runs that taught it: plan.g2.png" in again.stdout
    assert not (place / "plan.g3.json").exists()


def test_nothing_is_learnt_from_a_run_that_tripped(place):
    found = call(place, "refine", "plan.json", only(place / "faulty"))
    assert found.exception is not None
    assert "stopped for safety" in str(found.exception)


def test_nothing_is_learnt_from_a_run_of_another_plan(place):
    other = json.loads((place / "plan.json").read_bytes()[: -CRC_DIGITS - 1])
    (place / "other.json").write_bytes(with_id({**other, "name": "other"}))
    found = call(place, "refine", "other.json", only(place / "whole"))
    assert "another plan" in str(found.exception)
    assert "made with this very plan" in str(found.exception)


def test_what_is_no_plan_is_told_in_words(place):
    whole = only(place / "whole")
    missing = str(call(place, "refine", "nowhere.json", whole).exception)
    assert "the plan can't be read" in missing
    assert "Errno" not in missing
    wrong = str(call(place, "refine", f"{whole}/source.toml", whole).exception)
    assert "such as plan.json" in wrong


def test_without_a_bead_or_a_mark_nobody_knows_and_with_a_mark_the_source_learns(place):
    blind = only(place / "blind")
    assert "nobody knows how hot" in str(call(place, "refine", "air.json", blind).exception)
    call(place, "mark", blind, "--at", "200", "--force")
    found = call(place, "refine", "air.json", blind, "--json", "--out", "marked.json")
    told = json.loads(found.stdout)
    assert told["how"] == "marks"
    assert (place / told["picture"]).read_bytes().startswith(b"\x89PNG")
    assert "Melt marks learnt: 1." in told["changes"][0]
    got_to = re.search(r"got to about (\d+) °C", told["changes"][1])
    # molten at 200 s, and heated on from there
    assert int(got_to[1]) > 217
    assert core.read((place / "marked.json").read_bytes()).law == 0
    assert load_source(place / "marked.source.toml").generation == 1
    known = ("--source", "marked.source.toml")
    again = call(place, "refine", "air.json", blind, *known, "--json", "--out", "again.json")
    told = json.loads(again.stdout)
    assert "knows these runs' marks already" in told["changes"][0]
    assert told["source"] is None
    assert not (place / "again.source.toml").exists()
