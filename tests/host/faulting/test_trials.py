"""One setting, struck: copies go on as the run would, and what must be seen is seen."""

import pytest

from heatsim import trials
from heatsim.trials import BEFORE

SENSOR_LOST = ("sensor-open", "sensor-shorted", "sensor-detached-ambient")


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
