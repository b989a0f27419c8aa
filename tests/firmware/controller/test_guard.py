"""Hangs, with and without a hard timer: both outputs go off within the watchdog's time."""

import bench as chip
import pytest
from test_app import Rig

from heatcontroller import startup, wiring
from heatcontroller.guard import PERIOD_MS, Guard
from heatcore.cutoff import LEASE_MS

BOUND_US = startup.WATCHDOG_MS * 1000


@pytest.fixture(autouse=True)
def _fresh_chip():
    chip.clear()
    yield
    chip.has_hard_timers = False
    chip.clear()


def firing():
    rig = Rig().begin()
    while not chip.get_level(wiring.SSR_PIN):
        rig.app.turn()
    assert chip.get_level(wiring.RELAY_PIN)
    return rig


def hang(us):
    """`while True` with the chip's clock going on; how long both outputs stayed closed."""
    began_us = chip.now_us
    while chip.now_us - began_us < us:
        chip.advance(1_000)
        if not chip.get_level(wiring.SSR_PIN) and not chip.get_level(wiring.RELAY_PIN):
            return chip.now_us - began_us
    return None


@pytest.mark.parametrize("has_timer", [True, False])
def test_hello_says_whether_an_interrupt_calls_the_cutoff(has_timer):
    chip.has_hard_timers = has_timer
    rig = Rig()
    assert rig.app.board.has_hard_timer is has_timer
    assert rig.ask("hello")[1]["hard_timer"] is has_timer


def test_with_a_hard_timer_a_hang_ends_with_the_lease():
    chip.has_hard_timers = True
    firing()
    off_us = hang(BOUND_US)
    assert off_us is not None
    assert off_us <= (LEASE_MS + 2 * PERIOD_MS) * 1000


def test_without_one_the_watchdog_ends_it():
    rig = firing()
    with pytest.raises(chip.Reset):
        hang(BOUND_US + 1_000)
    # what boot.py does first, whatever reset it was
    wiring.outputs_off()
    assert rig.is_off


def test_with_interrupts_off_the_watchdog_ends_it_too():
    chip.has_hard_timers = True
    rig = firing()
    chip._timers[:] = []
    chip.find_due()
    with pytest.raises(chip.Reset):
        hang(BOUND_US + 1_000)
    wiring.outputs_off()
    assert rig.is_off


def test_a_timer_that_stops_starves_the_watchdog():
    """The main loop goes on, and nobody calls the cut-off: that is a fault as well."""
    chip.has_hard_timers = True
    rig = firing()
    chip._timers[:] = []
    chip.find_due()
    with pytest.raises(chip.Reset):
        rig.go(3)


def test_an_error_in_the_midst_of_firing_turns_off():
    """A soft reset runs no `finally`, and then boot.py's first line does it; an error runs it."""
    rig = firing()
    rig.app.machine.step = None
    with pytest.raises(TypeError):
        rig.app.run()
    assert rig.is_off


def test_the_guard_counts_its_calls_and_asks_the_cutoff():
    told = []

    class Cutoff:
        open_ms = 500

        def allows(self, now_ms):
            return now_ms < self.open_ms

    class Clock:
        def peek(self):
            return 499 + guard.seq

    guard = Guard(Clock(), Cutoff(), lambda: told.append(guard.seq))
    guard.check()
    guard.check(None)
    assert (guard.seq, told) == (2, [1, 2])
    guard.seq = 0xFFFF
    Cutoff.open_ms = 10_000
    guard.check()
    assert guard.seq == 0
    assert told == [1, 2]
