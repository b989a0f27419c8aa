"""What befalls the chip: a hung program, lost power, garbage on the link."""

import pytest

from heatsim.faults import ON_CHIP
from heatsim.trials import Moment, Setting
from heatsim.virtual.mishaps import MISHAPS
from heatwright.documents import load_profile, load_source
from heatwright.faulting import chip
from heatwright.planning.plan_file import CAREFUL, setpoint

WATCHDOG_S = 2.0


@pytest.fixture(scope="module")
def setting():
    """A plain line on the drawer, struck while it heats hard."""
    data = setpoint(load_profile("sac305"), 245.0, CAREFUL)
    params = load_source("drawer").plant_params()
    return Setting("drawer", "sensor", params, data, (Moment("preheat", 40.0),), 0.06)


@pytest.fixture(scope="module")
def cases(setting):
    return {case["fault"]: case for case in chip.trials(setting, seed=1)}


def test_each_has_its_mishap():
    assert set(MISHAPS) == set(ON_CHIP)
    assert chip.can_run()


def test_a_hung_program_heats_no_longer_than_the_watchdog(cases):
    hung = cases["controller-hung"]
    assert hung["trip"] == "tripped"
    assert 0.0 <= hung["seconds_to_off"] <= WATCHDOG_S


def test_power_that_comes_back_finds_it_tripped_and_off(cases):
    lost = cases["power-loss"]
    assert lost["trip"] == "tripped"
    assert lost["seconds_to_off"] == 0.0


def test_garbage_on_the_link_changes_nothing(cases):
    garbage = cases["frame-corrupt"]
    assert not garbage["detected"]
    assert garbage["max_board_c"] > cases["power-loss"]["max_board_c"] + 10.0
