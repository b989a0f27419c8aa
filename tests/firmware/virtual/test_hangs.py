"""A program that hangs while both outputs are closed: real MicroPython, the firmware as flashed."""

import pytest

import hangs_made
from hangs_made import PLANTED, hung, soft_reset
from heatcontroller.startup import WATCHDOG_MS
from heatcore.cutoff import LEASE_MS
from heatsim.virtual.frames import SOFT_RESET, WATCHDOG

WATCHDOG_S, LEASE_S = WATCHDOG_MS / 1000, LEASE_MS / 1000
# Both outputs were closed when it struck: a hang that ended at once would have proved nothing.
FIRED_S = 0.5


@pytest.mark.parametrize("how", PLANTED)
def test_both_outputs_are_off_within_the_watchdogs_time(how):
    ended = hung(PLANTED[how])
    assert ended.resets == [WATCHDOG]
    assert FIRED_S <= ended.heated_s <= WATCHDOG_S
    assert ended.state == "tripped"
    assert ended.heated_later_s == 0.0
    assert ended.are_low


def test_where_interrupts_go_on_the_lease_ends_it_sooner():
    assert hung(PLANTED["in the tick, with a hard timer"]).heated_s <= LEASE_S + 0.1


def test_what_was_planted_changes_nothing_by_itself():
    assert not hung(hangs_made.IN_TICK + "\ndef strike(): pass\n").resets


def test_a_soft_reset_in_the_midst_of_firing():
    ended = soft_reset()
    assert ended.resets == [SOFT_RESET]
    assert ended.heated_s == 0.0
    assert ended.state == "tripped"
    assert ended.heated_later_s == 0.0
    assert ended.are_low
