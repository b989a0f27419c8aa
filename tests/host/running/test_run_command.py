"""`heatwright run` as a person types it: what it says, leaves and ends with."""

import json

import pytest

from heatcore import line
from heatwright.commands import run as run_command
from heatwright.documents import locate
from heatwright.errors import BadInput, HeatwrightError
from heatwright.records.reader import read
from host.running.mine import document, run_in

KEYS = [
    "schema_version", "outcome", "verdict", "peak_board_c", "true_peak_board_c",
    "time_above_liquidus_s", "true_time_above_liquidus_s", "board_from", "trip", "record",
    "picture", "trace_sha256",
]  # fmt: skip
ON_BOARD = ("--on", "sim:drawer", "--source", "drawer", "--sensor", "board_sensor")
FILES = {"record.txt", "plan.json", "paste.toml", "profile.toml", "source.toml", "verdict.json"}


@pytest.fixture(scope="module")
def drawer(tmp_path_factory):
    folder = tmp_path_factory.mktemp("drawer")
    return folder, run_in(folder, *ON_BOARD, "--json")


def test_json_alone_on_standard_output_with_the_keys_agreed(drawer):
    _, result = drawer
    told = document(result)
    assert [key for key in told if key in KEYS] == KEYS
    assert told["outcome"] == "finished"
    assert told["trip"] is None
    assert told["board_from"] == "measured"
    assert abs(told["peak_board_c"] - told["true_peak_board_c"]) < 6.0
    assert "Plan SAC305 default" in result.stderr


def test_a_run_leaves_a_folder_that_needs_nothing_else(drawer):
    folder, result = drawer
    told = document(result)
    place = folder / told["record"]
    assert FILES | {"curve.png"} == {path.name for path in place.iterdir()}
    assert (folder / told["picture"]).read_bytes().startswith(b"\x89PNG")
    assert json.loads((place / "verdict.json").read_text())["verdict"] == told["verdict"]
    record = read(place)
    assert record.damaged_lines == 0
    assert record.trace_sha256 == told["trace_sha256"]
    assert record.header["placing"] == "on_board"
    assert {f"{name}_sha256" for name in ("plan", "paste", "profile", "source")} <= {*record.header}


def test_exit_is_0_where_the_joints_should_be_good(drawer):
    _, result = drawer
    assert (result.exit_code, document(result)["verdict"]) in [(0, "pass"), (0, "likely_pass")]


def test_an_air_sensor_leaves_the_board_unknown_and_truth_tells_nobody(tmp_path):
    result = run_in(tmp_path, "--on", "sim:drawer", "--source", "drawer", "--json")
    told = document(result)
    assert result.exit_code == 3
    assert told["verdict"] == "unknown"
    assert told["peak_board_c"] is told["time_above_liquidus_s"] is told["board_from"] is None
    assert told["true_peak_board_c"] > 217


def test_without_a_source_the_plain_line_is_run(tmp_path):
    result = run_in(tmp_path, "--on", "sim:toaster", "--json")
    told = document(result)
    assert result.exit_code == 3
    assert told["verdict"] == "unknown"
    plan = (tmp_path / told["record"] / "plan.json").read_bytes()
    assert b'"law":"setpoint"' in plan


def test_the_same_seed_gives_the_same_trace_and_another_seed_another(tmp_path, drawer):
    folder, result = drawer
    first = document(result)
    plan = folder / first["record"] / "plan.json"
    again = document(run_in(tmp_path, *ON_BOARD, "--seed", "1", "--json"))
    other = document(run_in(tmp_path, *ON_BOARD, "--plan", str(plan), "--seed", "2", "--json"))
    assert again["trace_sha256"] == first["trace_sha256"]
    assert other["trace_sha256"] != first["trace_sha256"]


def test_a_given_plan_runs_as_it_stands(tmp_path, drawer):
    folder, result = drawer
    first = document(result)
    plan = folder / first["record"] / "plan.json"
    again = document(run_in(tmp_path, *ON_BOARD, "--plan", str(plan), "--json"))
    assert again["trace_sha256"] == first["trace_sha256"]
    assert (tmp_path / again["record"] / "plan.json").read_bytes() == plan.read_bytes()
    assert not (tmp_path / again["record"] / "profile.toml").exists()


def test_a_plan_for_the_sensor_in_the_other_place_is_refused_before_anything_is_armed(
    tmp_path, drawer
):
    folder, result = drawer
    plan = folder / document(result)["record"] / "plan.json"
    air = ("--on", "sim:drawer", "--source", "drawer", "--plan", str(plan))
    refused = run_in(tmp_path, *air)
    assert isinstance(refused.exception, BadInput)
    assert "made for a sensor in another place" in str(refused.exception)
    assert "heatwright plan --sensor sensor" in str(refused.exception)
    assert not (tmp_path / "runs").exists()


def test_a_plant_of_ones_own_runs_from_the_current_folder(tmp_path):
    arguments = ("--on", "plant:box:make", "--sensor", "board_sensor", "--json")
    result = run_in(tmp_path, *arguments)
    told = document(result)
    assert told["outcome"] == "finished"
    assert told["board_from"] == "measured"
    assert told["true_peak_board_c"] > 200
    assert document(run_in(tmp_path, *arguments))["trace_sha256"] == told["trace_sha256"]
    assert read(tmp_path / told["record"]).truth is not None


def test_a_plant_that_runs_away_trips_and_ends_with_5(tmp_path):
    result = run_in(tmp_path, "--on", "plant:box:RunsAway", "--json")
    told = document(result)
    assert result.exit_code == 5
    assert told["outcome"] == "tripped"
    assert list(told["trip"]) == ["code", "seen", "expected", "at_s"]
    # whichever rule sees it first
    assert told["trip"]["code"] in ("over_plan_ceiling", "rise_without_heat")
    assert told["trip"]["seen"] > told["trip"]["expected"]
    record = read(tmp_path / told["record"])
    assert record.duty[record.time_s > told["trip"]["at_s"]].max() == 0


def test_a_plant_that_breaks_half_way_says_so_and_keeps_the_record(tmp_path):
    result = run_in(tmp_path, "--on", "plant:box:Breaks")
    assert isinstance(result.exception, BadInput)
    assert "step left out board" in str(result.exception)
    (place,) = (tmp_path / "runs").iterdir()
    assert read(place).sensor_c.max() > 55


def test_what_a_person_reads_at_the_end(tmp_path):
    result = run_in(tmp_path, *ON_BOARD)
    first, *_, last = result.stdout.splitlines()
    assert first.startswith(("pass: Melted", "likely pass: Melted"))
    assert last.startswith("All of it, with the picture: runs/")
    live = [line for line in result.stderr.splitlines() if "target" in line]
    assert 4 <= len(live) <= 9
    assert "left" in live[0]
    assert "\x1b" not in result.output


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (("--on", "sim:tester"), "toaster"),
        (("--on", "plant:nowhere:make"), "no module nowhere"),
        (("--on", "plant:box"), "plant:MODULE:FACTORY"),
        (("--on", "plant:box:missing"), "missing is not there"),
        (("--on", "plant:box:BreaksAtOnce"), "step left out board"),
        (("--on", "sim:toaster", "--paste", "butter"), "no paste of this name"),
        (("--on", "sim:toaster", "--source", "./none.toml"), "no such file"),
        (("--on", "sim:toaster", "--profile", "./none.toml"), "no such file"),
        (("--on", "sim:toaster", "--board", "./none.toml"), "no such file"),
        (("--on", "sim:toaster", "--plan", "none.json"), "the plan can't be read"),
        (("--on", "sim:toaster", "--plan", "box.py"), "not a plan that a controller would take"),
        (("--on", "sim:toaster", "--plan", "box.py", "--profile", "sac305"), "Keep one of"),
        (("--on", "plant:box:make", "--start-temp", "60"), "room temperature"),
        (("--on", "sim:toaster", "--out", "box.py/runs"), "box.py"),
    ],
)
def test_bad_input_ends_with_2_and_says_what_and_what_to_do(tmp_path, arguments, says):
    _is_refused(tmp_path, run_in(tmp_path, *arguments), says)


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        ((), "--unknown-source"),
        (("--source", "toaster", "--speed", "4"), "wall's clock"),
    ],
)
def test_what_real_heat_does_not_allow(tmp_path, arguments, says, monkeypatch):
    monkeypatch.setattr(run_command, "check_on", lambda on: None)
    _is_refused(tmp_path, run_in(tmp_path, "--on", "/dev/ttyTHERE", *arguments), says)


def _is_refused(tmp_path, result, says):
    assert isinstance(result.exception, HeatwrightError)
    assert result.exception.exit_code == 2
    assert says in str(result.exception)
    assert result.stdout == ""
    assert not list(tmp_path.glob("runs/*"))


@pytest.mark.parametrize(
    "arguments",
    [
        ("--on", "sim:toaster", "--speed", "0"),
        ("--on", "sim:toaster", "--speed", "nan"),
        ("--on", "sim:toaster", "--speed", "fast"),
        ("--on", "sim:toaster", "--seed", "-1"),
        ("--on", "sim:toaster", "--ambient", "90"),
        ("--on", "sim:toaster", "--ambient", "nan"),
        ("--on", "sim:toaster", "--start-temp", "nan"),
        ("--on", "sim:toaster", "--sensor", "elbow"),
        ("--profile", "sac305"),
    ],
)
def test_options_that_make_no_sense_are_refused(tmp_path, arguments):
    result = run_in(tmp_path, *arguments)
    assert result.exit_code == 2
    assert result.stdout == ""


def test_a_source_that_can_not_melt_the_paste_ends_with_3(tmp_path):
    weak = _weak_toaster(tmp_path)
    result = run_in(tmp_path, "--on", "sim:toaster", "--source", str(weak))
    assert result.exception.exit_code == 3
    assert "can't melt SAC305" in str(result.exception)


def _weak_toaster(folder):
    text = locate("source", "toaster").read_text()
    weak = folder / "weak.toml"
    lines = ["power_w = 300.0" if "power_w" in one else one for one in text.splitlines()]
    weak.write_text("\n".join(lines) + "\n")
    return weak


def test_a_hot_start_is_refused_by_the_plans_own_window(tmp_path):
    made = document(run_in(tmp_path, *ON_BOARD, "--json"))
    plan = str(tmp_path / made["record"] / "plan.json")
    air = ("--on", "sim:drawer", "--plan", plan, "--start-temp", "90")
    result = run_in(tmp_path, *air)
    assert result.exception.exit_code == 5
    assert "too hot to start" in str(result.exception)
    assert len(list(tmp_path.glob("runs/*"))) == 1


def test_every_line_of_a_record_carries_its_checksum(drawer):
    folder, result = drawer
    path = folder / document(result)["record"] / "record.txt"
    lines = path.read_bytes().splitlines(keepends=True)
    assert all(line.decode(one) for one in lines)
    assert {line.decode(one)[0] for one in lines} == {"h", "s", "e", "t"}
