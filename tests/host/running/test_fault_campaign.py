"""The fault campaign: copies go on as the run would, what must be seen is seen, and is told."""

import json
from dataclasses import replace

import pytest
from click.testing import CliRunner

from heatcore import plan
from heatsim import faults, seeds, trials
from heatsim.trials import BEFORE
from heatwright.commands.faults import command
from heatwright.documents import load_source
from heatwright.planning.residual import residual_limits, spread_of
from heatwright.running import cut_out, fault_campaign, fault_figures, fault_page
from heatwright.running.fault_campaign import Size, Wanted, moments

SENSOR_LOST = ("sensor-open", "sensor-shorted", "sensor-detached-ambient")


@pytest.fixture(scope="module")
def drawer():
    """The quickest source, with its own sensor: planning it takes seconds, so once for all."""
    return fault_campaign._setting(Wanted(), ("drawer", "sensor"))


@pytest.fixture(scope="module")
def soak(drawer):
    return replace(drawer, moments=tuple(one for one in drawer.moments if one.name == "soak"))


@pytest.fixture(scope="module")
def cases(soak):
    found = trials.faulty(soak, ALL, seed=1)
    return {case["fault"]: case for case in found if case["moment"] == "soak"}


ALL = (
    "relay-shorted", "relay-open", "both-welded", "door-open", "clock-jump", "plan-corrupt",
    "fan-stopped", *SENSOR_LOST,
)  # fmt: skip


@pytest.mark.parametrize("name", SENSOR_LOST)
def test_a_lost_sensor_is_seen_within_three_seconds(cases, name):
    assert cases[name]["above_junction_k"] >= 40
    assert cases[name]["detected"]
    assert cases[name]["seconds_to_off"] <= 3.0


def test_a_weld_and_a_dead_heater_are_seen(cases):
    assert cases["relay-shorted"]["mean_duty"] <= 0.6
    assert cases["relay-shorted"]["detected"]
    assert cases["relay-shorted"]["seconds_to_off"] <= 35.0
    assert cases["relay-open"]["detected"]
    assert cases["relay-open"]["seconds_to_off"] <= 25.0


@pytest.mark.parametrize(
    ("name", "within_s"), [("door-open", 11.0), ("clock-jump", 1.0), ("plan-corrupt", 12.0)]
)
def test_what_the_controller_sees_of_itself_and_the_door(cases, name, within_s):
    assert cases[name]["detected"]
    assert cases[name]["seconds_to_off"] <= within_s


def test_nothing_takes_the_heat_off_two_welded_relays(cases):
    both = cases["both-welded"]
    assert both["detected"]
    assert both["seconds_to_off"] is None
    assert 20.0 < both["seconds_to_300_c"] < 120.0
    assert both["max_board_c"] >= 300.0


def test_a_safety_relay_ends_what_a_welded_ssr_began(cases):
    assert cases["relay-shorted"]["max_board_c"] < 275.0


def test_a_lost_sensor_is_refused_before_arming(soak):
    case = trials.faulty(soak, ["sensor-open"], seed=1)[0]
    assert case["moment"] == BEFORE
    assert case["trip"].startswith("refused")
    assert case["max_board_c"] < 30.0


def test_a_copy_goes_on_as_the_run_itself(soak):
    watched = trials._Watched(trials._started(trials._rig(soak, 3), soak.plan))
    watched.run_to(100.0)
    twin = watched.copy()
    for _ in range(200):
        watched.tick()
        twin.tick()
    assert twin.controller.temperatures == watched.controller.temperatures
    assert twin.controller.rig.sensor._seq == watched.controller.rig.sensor._seq
    assert twin.controller is not watched.controller
    assert twin.controller.machine.plan.u is not watched.controller.machine.plan.u


def test_what_is_struck_in_a_copy_leaves_the_run_alone(soak):
    names = ["plan-corrupt", "fan-stopped", "mains-sag"]
    after = trials.faulty(soak, [*names, "safety-relay-welded"], seed=2)[-1]
    alone = trials.faulty(soak, ["safety-relay-welded"], seed=2)[-1]
    assert after == alone


def test_the_door_of_fresh_runs_is_opened_late_or_never(soak):
    delays = [trials._fresh_rig(soak, seed).door_after_s for seed in range(200)]
    opened = [delay for delay in delays if delay is not None]
    assert 5 <= len(delays) - len(opened) <= 40
    assert min(opened) < 1.0
    assert max(opened) > 14.0


def test_fresh_runs_start_cold_or_warm_and_finish(soak):
    runs = [trials.fresh(soak, seed) for seed in range(1, 4)]
    assert [run["trip"] for run in runs] == ["", "", ""]
    assert all(200.0 < run["max_board_c"] < 280.0 for run in runs)


@pytest.mark.campaign
def test_three_thousand_fresh_runs_trip_once_at_most(drawer, counted):
    runs = counted(3000)
    tripped = [
        run for number in range(runs) if (run := trials.fresh(drawer, 5001 + number))["trip"]
    ]
    assert len(tripped) <= max(1, runs // 3000), tripped


def test_thresholds_for_the_kind_are_wider_than_for_a_measured_source(drawer):
    source = load_source("drawer")
    kind = residual_limits(source, drawer.plan)
    assert spread_of(source) == seeds.KIND_SPREAD
    assert drawer.spread == seeds.MEASURED_SPREAD
    assert _trip_sum(drawer.plan) < _trip_sum(kind)


def _trip_sum(data):
    rows = plan.read(data).deviation
    return sum(rows[row + plan.TRIP_MK] for row in range(0, len(rows), plan.DEVIATION_WIDTH))


def test_moments_lie_in_the_run_in_order(drawer):
    found = moments(plan.read(drawer.plan))
    times = [moment.at_s for moment in found]
    assert times == sorted(times)
    assert len(times) >= 8
    assert times[-1] < plan.read(drawer.plan).t_ms[-1] / 1000


TINY = Size(seeds=1, every_moment=4, fresh_runs=2, chips=1)
IN_JSON = {
    "fault", "moment", "source", "sensor", "seed", "detected", "seconds_to_off", "max_board_c",
}  # fmt: skip


@pytest.fixture
def quick(monkeypatch, soak):
    """The command on one setting, one moment, in this process."""
    monkeypatch.setattr(fault_campaign, "settings", lambda wanted, executor=None: [soak])
    monkeypatch.setattr("heatwright.commands.faults.settings", lambda wanted: [soak])
    monkeypatch.setattr("heatwright.commands.faults.QUICK", TINY)
    monkeypatch.setattr("heatwright.commands.faults.ProcessPoolExecutor", _Here)
    monkeypatch.setattr("heatwright.commissioning.chip_faults.trials", _on_chip)

    def run(*arguments):
        return CliRunner().invoke(command, ["--quick", *arguments], catch_exceptions=False)

    return run


class _Here:
    """Runs what is asked for at once."""

    def __init__(self, workers):
        self.workers = workers

    def __enter__(self):
        return None

    def __exit__(self, *error):
        return None


def _on_chip(setting, seed):
    case = trials.faulty(setting, ["sensor-open"], seed)[-1]
    return [{**case, "fault": name} for name in faults.ON_CHIP]


def test_the_command_prints_its_document(quick):
    found = json.loads(quick("--json").stdout)
    assert found["fresh_runs"] == 2
    assert found["false_trips"] == 0
    assert set(found["cases"][0]) >= IN_JSON
    assert {case["fault"] for case in found["cases"]} == set(faults.KINDS)


def test_the_table_has_a_line_a_fault_and_the_page_the_same_numbers(quick, tmp_path):
    table = quick("--page", str(tmp_path / "page.md")).stdout
    page = (tmp_path / "page.md").read_text()
    for name in faults.KINDS:
        line = next(line for line in table.splitlines() if line.startswith(name + " "))
        seen = line.split()[1]
        assert f"| {name} | {seen} |" in page
    assert "Runs without a fault: 2; stopped all the same: 0." in table
    assert "within 6%" in page


def test_a_campaign_that_was_cut_goes_on(quick, tmp_path, monkeypatch):
    kept = str(tmp_path / "kept")
    first = json.loads(quick("--json", "--keep", kept).stdout)
    monkeypatch.setattr(trials, "faulty", lambda *a: pytest.fail("ran again"))
    assert json.loads(quick("--json", "--keep", kept).stdout) == first


def test_only_simulated_sources_are_broken(quick):
    with pytest.raises(Exception, match="simulated sources only"):
        quick("--on", "/dev/ttyACM0")


def test_no_cut_out_can_watch_over_the_drawer(quick, soak):
    said = quick("--cut-out", "--on", "sim:drawer").stdout
    assert "no thermal cut-out can do it" in said
    assert "hand at the plug" in said
    rooms = json.loads(quick("--cut-out", "--json", "--on", "sim:drawer").stdout)["cut_out"]
    assert [room["rating_c"] for room in rooms["drawer"]] == [None] * len(cut_out.PLACES)


def test_a_rating_lies_between_a_plain_run_and_the_last_chance():
    room = cut_out.Room("air", 231.2, 251.0)
    assert room.rating_c == 235.0
    assert replace(room, highest_c=234.0).rating_c is None


def test_the_latest_moment_counts_the_rise_after_the_heat_is_off(soak):
    passed = []
    plant = trials._rig(soak, 0).plant
    while plant.temperatures()["board"] < cut_out.LIMIT_C:
        passed.append((_copied(plant), [plant.temperatures()["board"]]))
        plant.step(2.0, 1.0)
    last_c = cut_out._latest(passed)[0]
    assert 200.0 < last_c < cut_out.LIMIT_C - 5.0


def _copied(plant):
    twin = type(plant)(plant.params)
    twin.state = plant.state
    return twin


def test_figures_of_a_row():
    made = [_made(None, 300.0), _made(2.0, 240.0), _made(4.0, 240.0)]
    row = fault_figures.row(made)
    assert (row.cases, row.detected, row.median_s, row.max_s) == (3, 2, 3.0, 4.0)
    assert row.highest_undetected_c == 300.0
    assert "2/3" in fault_page.table(
        {"cases": made, "fresh_runs": 5, "false_trips": 1, "spread": 0.2, "seeds": 1,
         "tripped_fresh_runs": [{"trip": "sensor_rate"}]}
    )  # fmt: skip


def _made(off_s, board_c):
    return {
        "fault": "relay-shorted", "detected": off_s is not None, "seconds_to_off": off_s,
        "max_board_c": board_c, "seconds_to_300_c": None,
    }  # fmt: skip
