"""Buttons, switches and the current sensor. Runs on CPython and MicroPython."""

import bench
import machine
from chips import drive

from heatcontroller.drivers.contact import CEILING_MS, SETTLE_MS, Button, Contact
from heatcontroller.drivers.current import CurrentSensor

PIN = 12
LOOP_MS = 5


def stop_button():
    """Normally closed to ground: low is released."""
    bench.clear()
    pin = machine.Pin(PIN, machine.Pin.IN, machine.Pin.PULL_UP)
    drive(PIN, 0)
    return Contact(pin, 1, 1)


def hold(contact, level, start_ms, ms):
    drive(PIN, level)
    for now_ms in range(start_ms, start_ms + ms, LOOP_MS):
        contact.serve(now_ms)
    return start_ms + ms


def test_a_broken_wire_is_a_pressed_stop():
    bench.clear()
    # Nothing holds the pin down: the pull-up wins.
    contact = Contact(machine.Pin(PIN, machine.Pin.IN, machine.Pin.PULL_UP), 1, 1)
    contact.serve(0)
    assert contact.on == 1
    assert contact.take() == 1


def test_a_stop_is_seen_after_it_held():
    stop = stop_button()
    now_ms = hold(stop, 0, 0, 500)
    assert stop.on == 0
    now_ms = hold(stop, 1, now_ms, SETTLE_MS)
    assert stop.on == 0
    hold(stop, 1, now_ms, 2 * LOOP_MS)
    assert stop.on == 1


def test_a_spike_is_no_stop():
    stop = stop_button()
    now_ms = hold(stop, 0, 0, 500)
    for _ in range(50):
        now_ms = hold(stop, 1, now_ms, SETTLE_MS - LOOP_MS)
        now_ms = hold(stop, 0, now_ms, SETTLE_MS + 2 * LOOP_MS)
    assert stop.take() == 0


def test_a_press_between_two_ticks_is_not_lost():
    stop = stop_button()
    now_ms = hold(stop, 0, 0, 500)
    stop.take()
    now_ms = hold(stop, 1, now_ms, 80)
    hold(stop, 0, now_ms, 120)
    assert stop.on == 0
    assert stop.take() == 1
    assert stop.take() == 0


def chatter(contact, start_ms, ms):
    for now_ms in range(start_ms, start_ms + ms, LOOP_MS):
        drive(PIN, now_ms // LOOP_MS & 1)
        contact.serve(now_ms)
    return start_ms + ms


def test_a_stop_that_chatters_trips_within_the_ceiling():
    stop = stop_button()
    now_ms = hold(stop, 0, 0, 500)
    now_ms = chatter(stop, now_ms, CEILING_MS - 2 * LOOP_MS)
    assert stop.on == 0
    chatter(stop, now_ms, 4 * LOOP_MS)
    assert stop.on == 1


def start_button(level=1):
    """Normally open to ground: high is released."""
    bench.clear()
    pin = machine.Pin(PIN, machine.Pin.IN, machine.Pin.PULL_UP)
    drive(PIN, level)
    return Button(pin)


def test_presses_are_counted_once_each():
    button = start_button()
    now_ms = hold(button, 1, 0, 200)
    for count in range(1, 4):
        now_ms = hold(button, 0, now_ms, 400)
        now_ms = hold(button, 1, now_ms, 100)
        assert button.presses == count


def test_a_button_that_is_stuck_at_power_up_was_not_pressed():
    button = start_button(0)
    now_ms = hold(button, 0, 0, 2000)
    assert button.presses == 0
    now_ms = hold(button, 1, now_ms, 100)
    hold(button, 0, now_ms, 100)
    assert button.presses == 1


def test_a_start_button_that_chatters_is_not_pressed():
    button = start_button()
    now_ms = hold(button, 1, 0, 200)
    chatter(button, now_ms, 5000)
    assert button.presses == 0


# --- heater current ---


def sensor(zero, full_ma):
    bench.clear()
    return CurrentSensor(machine.ADC(26), zero, full_ma)


def test_a_rectified_sensor_reads_its_share_of_full_scale():
    current = sensor(0, 20000)
    bench.adc[26] = 32768
    current.serve(0, 1)
    assert abs(current.take_ma() - 10000) <= 5
    assert current.take_ma() == 0


def test_an_alternating_sensor_reads_its_largest_swing():
    current = sensor(32768, 20000)
    for reading in (32768, 16384, 30000, 49000, 32768):
        bench.adc[26] = reading
        current.serve(0, 1)
    assert abs(current.take_ma() - 10000) <= 5


def test_the_largest_current_stays_a_small_integer():
    current = sensor(0, 60000)
    bench.adc[26] = 65535
    current.serve(0, 1)
    assert current.take_ma() == 60000
    assert (65535 >> 3) * 60000 < 1 << 30


def test_what_flows_in_an_off_slot_is_told_as_negative():
    current = sensor(0, 20000)
    bench.adc[26] = 32768
    current.serve(0, 1)
    bench.adc[26] = 0
    current.serve(20, 0)
    assert abs(current.take_ma() - 10000) <= 5
    bench.adc[26] = 32768
    current.serve(40, 1)
    # the last half-cycle of the on-slot still flows
    current.serve(50, 0)
    assert current.take_ma() > 0
    current.serve(60, 1)
    current.serve(80, 0)
    assert abs(current.take_ma() + 10000) <= 5


def test_what_flows_while_nothing_is_fired_is_told_as_it_is():
    current = sensor(0, 20000)
    bench.adc[26] = 32768
    current.serve(40, 0)
    assert abs(current.take_ma() - 10000) <= 5
