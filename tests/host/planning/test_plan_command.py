"""``heatwright plan``: what it writes, says and ends with."""

import hashlib
import json
import os
import subprocess
import sys

import pytest
from click.testing import CliRunner

import records_made
from heatcore import plan as core
from heatsim.campaign import read_kept
from heatwright.__main__ import run
from heatwright.assets import profiles
from heatwright.commands import main
from heatwright.commands import plan as plan_command
from heatwright.planning.session import PlanAsked

KEYS = {"name", "low", "high", "predicted", "margin", "met"}


def call(folder, *arguments):
    before = os.getcwd()
    os.chdir(folder)
    try:
        return CliRunner().invoke(main, ["plan", *arguments])
    finally:
        os.chdir(before)


@pytest.fixture(scope="module")
def place(tmp_path_factory):
    return tmp_path_factory.mktemp("plan")


@pytest.fixture(scope="module")
def drawer(place):
    options = ("--paste", "sac305", "--source", "drawer", "--sensor", "board_sensor")
    return call(place, *options, "--ensemble", "3", "--json")


def test_json_has_the_keys_agreed_and_exit_is_0(drawer):
    found = json.loads(drawer.stdout)
    assert drawer.exit_code == 0
    assert found["feasible"] is True
    assert found["advice"] == []
    assert found["ensemble"]["sources"] == 3
    assert 0 <= found["ensemble"]["in_window"] <= 3
    assert all(set(window) >= KEYS for window in found["windows"])
    names = {window["name"] for window in found["windows"]}
    assert {"peak", "time_above_liquidus", "soak", "heating_rate", "cooling_rate"} <= names
    assert all(window["met"] for window in found["windows"])


def test_margin_is_the_distance_to_the_nearer_end(drawer):
    for window in json.loads(drawer.stdout)["windows"]:
        ends = [window["predicted"] - window["low"]] if window["low"] is not None else []
        ends += [window["high"] - window["predicted"]] if window["high"] is not None else []
        assert window["margin"] == pytest.approx(min(ends))


def test_the_plan_and_its_picture_lie_where_json_says(drawer, place):
    found = json.loads(drawer.stdout)
    data = (place / found["plan"]).read_bytes()
    assert len(data) <= core.BYTES_MAX
    plan = core.read(data)
    assert len(plan.deviation) > 0
    assert found["start"]["sensor_max_c"] == plan.start[core.START_MAX] / 1000
    assert (place / found["picture"]).read_bytes().startswith(b"\x89PNG")


def test_a_source_that_cannot_melt_it_ends_with_3_and_says_what_would_help(place):
    text = (profiles() / "sources" / "toaster.toml").read_text()
    (place / "weak.toml").write_text(text.replace("power_w = 1100.0", "power_w = 330.0"))
    found = call(place, "--source", "./weak.toml", "--out", "weak.json", "--json")
    assert found.exit_code == 3
    told = json.loads(found.stdout)
    assert (told["feasible"], told["plan"], told["ensemble"]) == (False, None, None)
    peak = next(window for window in told["windows"] if window["name"] == "peak")
    assert not peak["met"]
    assert peak["margin"] == pytest.approx(peak["predicted"] - peak["low"])
    assert "can't melt SAC305" in told["reason"]
    remedies = {one["remedy"]: one for one in told["advice"]}
    # a paste that melts at 139 C is molten at 330 W, if for too long: told, not called feasible
    assert remedies["another_alloy"]["effect"]["peak"] > 142.0
    assert remedies["insulation"]["effect"]["peak"] > peak["predicted"]
    assert not (place / "weak.json").exists()


def test_a_profile_of_a_data_sheet_is_checked_and_the_nearest_one_planned(place):
    found = call(
        place, "--source", "toaster", "--profile", "datasheet-sac305", "--ensemble", "0",
        "--out", "sheet.json", "--details",
    )  # fmt: skip
    # the best possible on its clock is some 220 C (simulated earlier; within 30 %)
    assert "on its own clock: this source gets the board to 2" in found.stdout
    assert "asked for 245 °C" in found.stdout
    assert "gain margin" in found.stdout
    assert "the steepest cooling" in found.stdout
    assert "x the steepest cooling" in found.stdout, "a window that is missed is never hidden"


def test_a_source_of_which_only_the_kind_is_known_is_to_be_measured(place):
    # with its sensor in the air few of its kind work
    found = call(place, "--source", "drawer", "--ensemble", "8", "--out", "air.json")
    assert "known by its kind only: measure it (heatwright measure), or put a bead" in found.stdout


@pytest.mark.parametrize(
    ("marked", "is_told"), [("", True), (f'marked_from = ["{"0" * 64}"]', False)]
)
def test_a_measured_source_whose_board_nobody_saw_melt_is_to_be_marked(place, marked, is_told):
    shipped = (profiles() / "sources" / "drawer.toml").read_text()
    kind, rest = shipped.split("\n[", 1)
    own = f"{kind}\nlearnt_on = 2026-01-02\n{marked}\n[{rest}"
    (place / "learnt.toml").write_text(own)
    found = call(place, "--source", "learnt.toml", "--ensemble", "8", "--out", "learnt.json")
    assert found.exit_code == 0
    assert "known by its kind only" not in found.stdout
    assert ("mark the melt in a run or two" in found.stdout) is is_told


def test_on_sand_the_board_is_lifted_and_no_door_opened(place):
    found = call(place, "--source", "sand", "--sensor", "board_sensor", "--ensemble", "0",
                 "--out", "sand.json")  # fmt: skip
    assert "lift the board off at" in found.stdout
    assert "open the door at" not in found.stdout


def test_an_earlier_plan_is_kept_and_what_is_no_plan_is_left_alone(place):
    options = ("--source", "drawer", "--sensor", "board_sensor", "--ensemble", "0")
    call(place, *options, "--out", "own.json")
    first = (place / "own.json").read_bytes()
    told = json.loads(
        call(place, *options, "--ambient", "15", "--out", "own.json", "--json").stdout
    )
    assert (place / told["earlier_plan"]).read_bytes() == first
    assert (place / told["plan"]).read_bytes() != first
    (place / "notes.txt").write_text("mine")
    refused = call(place, *options, "--out", "notes.txt")
    assert "no plan, and is not written over" in str(refused.exception)
    assert (place / "notes.txt").read_text() == "mine"


def test_a_warm_source_is_planned_for_as_it_is(place):
    found = call(
        place, "--source", "drawer", "--start", "now", "--reads", "70", "--ensemble", "0",
        "--out", "warm.json", "--json",
    )  # fmt: skip
    start = json.loads(found.stdout)["start"]
    assert start["sensor_min_c"] < 70.0 < start["sensor_max_c"]
    assert start["rest_min_s"] == 0


def test_a_start_from_now_needs_to_know_how_warm_it_is(place):
    found = call(place, "--source", "drawer", "--start", "now")
    assert "what the source reads now is not known" in str(found.exception)


def test_the_help_loads_no_scipy():
    code = (
        "import sys; from heatwright.__main__ import main\ntry: main()\nexcept SystemExit: pass\n"
    )
    code += "print('scipy.optimize' in sys.modules, file=sys.stderr)"
    done = subprocess.run(
        [sys.executable, "-c", code, "plan", "--help"], capture_output=True, text=True, check=True
    )
    assert "Ends with 0 where it is feasible, 3 where not" in done.stdout
    assert done.stderr.strip() == "False"


def test_a_source_set_up_otherwise_than_it_was_learnt_is_said(tmp_path):
    _, board_c = records_made.corners(records_made.GOOD)
    learnt = tmp_path / "runs" / "learnt"
    learnt.mkdir(parents=True)
    record = records_made.write(learnt / "record.txt", board_c, rack="the lowest")
    digest = hashlib.sha256(record.read_bytes()).hexdigest()
    text = (profiles() / "sources" / "drawer.toml").read_text()
    (tmp_path / "mine.toml").write_text(
        text.replace("learnt_from = []", f'learnt_from = ["{digest}"]')
    )
    options = ("--source", "mine.toml", "--sensor", "board_sensor", "--ensemble", "0")
    said = call(tmp_path, *options)
    assert "rack was 'the lowest'" in said.stdout
    assert "measure again" in said.stdout


def stop_at_once(done, of):
    raise KeyboardInterrupt


def cut(place, monkeypatch, *options):
    """Ctrl-C among the trials of a plan, as soon as the first are done."""
    monkeypatch.chdir(place)
    monkeypatch.setattr(plan_command, "_progress", stop_at_once)
    words = ["plan", "--source", "drawer", "--sensor", "board_sensor", "--out", "big.json"]
    return run([*words, *options, "--json"])


def test_ctrl_c_says_what_is_kept_and_the_same_command_goes_on(tmp_path, monkeypatch, capsys):
    for before in (0, 1):
        assert cut(tmp_path, monkeypatch, "--ensemble", "1000") == 130
        out, err = capsys.readouterr()
        kept = next(tmp_path.glob("big.*.trials.jsonl"))
        done = len(read_kept(kept))
        assert done > 8 * before
        assert f"{done} trials are kept in {kept.name}: the same command goes on" in err
        assert json.loads(out)["error"]["exit_code"] == 130
    assert not (tmp_path / "big.json").exists()


def test_ctrl_c_promises_nothing_where_nothing_is_kept(tmp_path, monkeypatch, capsys):
    assert cut(tmp_path, monkeypatch, "--ensemble", "20") == 130
    assert "goes on" not in capsys.readouterr().err
    assert not list(tmp_path.iterdir())


def test_a_source_that_cools_on_is_not_the_same_plan_later():
    assert PlanAsked("drawer").is_repeatable
    assert PlanAsked("drawer", start="now", reads_c=60.0).is_repeatable
    assert not PlanAsked("drawer", start="now").is_repeatable
