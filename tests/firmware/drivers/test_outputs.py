"""Heater outputs: firing, the safety relay's order, the lease. Runs on CPython and MicroPython."""

import bench
import machine

from heatcontroller.drivers.buzzer import DONE, DOOR, HEAT, TRIP, WAIT, Buzzer
from heatcontroller.drivers.door import Lamp, Servo
from heatcontroller.drivers.firing import Firing
from heatcontroller.drivers.outputs import Outputs
from heatcontroller.drivers.power import NoPower, Power
from heatcore.codes import NOTE_FINISHED, NOTE_WAIT_MARK, OVER_TEMPERATURE
from heatcore.command import Command
from heatcore.cutoff import LEASE_MS, Cutoff

SSR = 15
RELAY = 14
MAINS = (50, 60)


class Jitter:
    """When a main loop comes round: 1 to 6 ms apart, the same series each time."""

    def __init__(self):
        self.state = 1

    def next(self):
        self.state = (self.state * 1103 + 12345) % 65536
        return 1 + self.state // 97 % 6


def fired(firing, duty, start_ms, end_ms):
    """Milliseconds on, and the lengths of the stretches on, between two times."""
    jitter = Jitter()
    now_ms = start_ms
    on_ms = 0
    level = 0
    stretches = []
    while now_ms < end_ms:
        was = level
        level = firing.level(now_ms, duty)
        if level and not was:
            stretches.append(0)
        step = jitter.next()
        if level:
            on_ms += step
            stretches[-1] += step
        now_ms += step
    return on_ms, stretches


def test_duty_comes_out_in_every_second_at_50_and_60_hz():
    for mains_hz in MAINS:
        for duty in (100, 1234, 3333, 5000, 6667, 8000, 9800):
            firing = Firing(mains_hz, 1000)
            fired(firing, duty, 0, 1000)
            on_ms, _ = fired(firing, duty, 1000, 61000)
            # Within a tenth of a percent of full power.
            assert abs(on_ms - 60000 * duty // 10000) <= 60


def test_a_loop_of_one_turn_a_slot_keeps_the_duty():
    # Turns are 16 ms apart and meet every tick of 250 ms: a rhythm that beats with 60 Hz.
    for mains_hz in MAINS:
        for duty in (500, 2000, 5000, 8000, 9800):
            firing = Firing(mains_hz, 1000)
            now_ms = on_ms = 0
            while now_ms < 60000:
                level = firing.level(now_ms, duty)
                turn_ms = min(1000 // mains_hz, 250 - now_ms % 250)
                on_ms += level * turn_ms
                now_ms += turn_ms
            assert abs(on_ms - 60000 * duty // 10000) <= 60


def test_slots_are_whole_cycles_and_evenly_spread():
    for mains_hz in MAINS:
        firing = Firing(mains_hz, 1000)
        _, stretches = fired(firing, 2500, 0, 20000)
        cycle_ms = 1000 / mains_hz
        assert abs(len(stretches) - 20 * mains_hz // 4) <= 3
        for stretch in stretches[:-1]:
            assert cycle_ms - 6 <= stretch <= cycle_ms + 6


def test_the_slot_clock_is_exact_over_ten_minutes():
    # 60 Hz has 16.667 ms to a cycle: no rounding may build up.
    firing = Firing(60, 1000)
    slots = 0
    for _ in range(0, 600000, 8):
        slots += firing._begun(8)
    assert slots == 600000 * 60 // 1000


def test_half_cycles_and_slow_windows():
    half = Firing(2 * 50, 1000)
    _, stretches = fired(half, 2500, 0, 10000)
    assert abs(len(stretches) - 250) <= 1
    slow = Firing(1, 2000)
    _, stretches = fired(slow, 2500, 0, 64000)
    assert 7 <= len(stretches) <= 8
    for stretch in stretches:
        assert 1994 <= stretch <= 2006


def test_a_late_slot_is_carried_over_and_never_made_up():
    firing = Firing(50, 1000)
    now_ms = 0
    while not firing.level(now_ms, 5000):
        now_ms += 1
    # On, and the loop is 200 ms late: ten slots on where five were due.
    now_ms += 200
    late = [firing.level(now_ms + 20 * slot, 5000) for slot in range(12)]
    assert sum(late[:9]) == 0
    # Off, and late: what was not given stays not given.
    while firing.level(now_ms, 5000):
        now_ms += 1
    now_ms += 200
    after = [firing.level(now_ms + 20 * slot, 5000) for slot in range(12)]
    assert sum(after) <= 6


def test_no_duty_is_off_at_once():
    firing = Firing(1, 2000)
    firing.level(0, 9800)
    now_ms = 1
    while not firing.level(now_ms, 9800):
        now_ms += 1
    assert firing.level(now_ms + 1, 0) == 0


# --- the two heater outputs ---


class Rig:
    """Outputs on the fake chip, a main loop, and when each pin changed."""

    def __init__(self):
        bench.clear()
        bench.logs = True
        self.ssr = machine.Pin(SSR, machine.Pin.OUT, value=0)
        self.relay = machine.Pin(RELAY, machine.Pin.OUT, value=0)
        self.cutoff = Cutoff()
        self.power = Power(self.ssr, self.relay, Firing(50, 1000), self.cutoff)
        self.buzzer = Buzzer(machine.Pin(13, machine.Pin.OUT, value=0))
        fan = Lamp(machine.Pin(2, machine.Pin.OUT, value=0))
        door = Lamp(machine.Pin(3, machine.Pin.OUT, value=0))
        self.outputs = Outputs(self.power, fan, door, self.buzzer)
        self.command = Command()
        self.now_ms = 0
        self.seq = 0
        self.changes = []
        self.cutoff.arm(0, 0)

    def run(self, ms, renew=True):
        end_ms = self.now_ms + ms
        while self.now_ms < end_ms:
            if self.now_ms % 250 == 0:
                if renew:
                    self.seq += 1
                    self.cutoff.renew(self.now_ms, 100000, self.seq)
                self.outputs.apply(self.now_ms, self.command)
            bench.log.clear()
            self.outputs.serve(self.now_ms)
            for _, pin, level in bench.log:
                if pin in (SSR, RELAY):
                    self.changes.append((self.now_ms, pin, level))
            self.now_ms += 1

    def heat(self, duty=5000):
        self.command.relay = 1
        self.command.duty = duty

    def times(self, pin, level):
        return [at for at, which, what in self.changes if (which, what) == (pin, level)]

    def levels(self):
        return bench.get_level(SSR), bench.get_level(RELAY)


def test_relay_closes_200_ms_before_the_first_firing():
    rig = Rig()
    rig.heat()
    rig.run(2000)
    assert rig.times(RELAY, 1) == [0]
    assert 200 <= rig.times(SSR, 1)[0] <= 240


def test_relay_opens_500_ms_after_the_last_firing():
    rig = Rig()
    rig.heat()
    rig.run(2000)
    rig.command.relay = rig.command.duty = 0
    rig.run(2000)
    last = max(rig.times(SSR, 0))
    assert 500 <= rig.times(RELAY, 0)[0] - last <= 502
    assert rig.levels() == (0, 0)


def test_relay_stays_closed_between_firings_of_a_run():
    rig = Rig()
    rig.heat()
    rig.run(2000)
    rig.command.duty = 0
    rig.run(20000)
    rig.heat()
    rig.run(2000)
    assert len(rig.times(RELAY, 1)) == 1
    assert rig.times(RELAY, 0) == []


def test_a_trip_drops_both_at_once():
    rig = Rig()
    rig.heat(9800)
    rig.run(2000)
    rig.command.trip = OVER_TEMPERATURE
    rig.outputs.apply(rig.now_ms, rig.command)
    assert rig.levels() == (0, 0)
    rig.run(1000)
    assert rig.levels() == (0, 0)


def test_off_drops_both_at_once_and_stays():
    rig = Rig()
    rig.heat(9800)
    rig.run(2000)
    rig.outputs.off()
    assert rig.levels() == (0, 0)
    rig.command.relay = rig.command.duty = 0
    rig.run(1000)
    assert rig.levels() == (0, 0)


def test_off_forgets_an_output_that_was_about_to_close_alone():
    rig = Rig()
    rig.outputs.close_ssr()
    rig.run(250)
    assert rig.levels() == (1, 0)
    rig.outputs.close_ssr()
    rig.outputs.off()
    rig.outputs.serve(rig.now_ms)
    assert rig.levels() == (0, 0)


def test_duty_without_the_relay_heats_nothing():
    rig = Rig()
    rig.command.duty = 9800
    rig.run(2000)
    assert rig.changes == []


def test_no_lease_no_heat():
    rig = Rig()
    rig.heat(9800)
    rig.run(2000)
    rig.run(3000, renew=False)
    # The last renewal was at 1750 ms; both drop in the turn of the loop after the lease.
    assert rig.times(RELAY, 0) == [1750 + LEASE_MS + 1]
    assert max(rig.times(SSR, 0)) <= 1750 + LEASE_MS + 1
    assert rig.levels() == (0, 0)


def test_a_cutoff_that_was_never_armed_lets_nothing_through():
    rig = Rig()
    rig.cutoff.drop()
    rig.heat(9800)
    rig.run(3000)
    assert rig.changes == []


def test_python_that_stops_fires_no_more():
    # Nothing runs by itself: without serve() no pin changes.
    rig = Rig()
    rig.heat()
    rig.run(2000)
    bench.log.clear()
    bench.advance(10000000)
    assert bench.log == []
    rig.now_ms += 10000
    rig.run(1)
    assert rig.levels() == (0, 0)


def test_no_power_takes_every_order_and_touches_no_pin():
    rig = Rig()
    outputs = Outputs(NoPower(), Lamp(rig.ssr), Lamp(rig.relay), rig.buzzer)
    bench.log.clear()
    rig.heat(9800)
    outputs.apply(0, rig.command)
    outputs.serve(0)
    outputs.off()
    assert [pin for _, pin, level in bench.log if level and pin in (SSR, RELAY)] == []


# --- fan, door and buzzer ---


def test_fan_and_door_follow_the_command_even_after_a_trip():
    rig = Rig()
    rig.command.fan = rig.command.door_cue = 1
    rig.run(1)
    assert bench.get_level(2) == bench.get_level(3) == 1
    rig.command.trip = OVER_TEMPERATURE
    rig.command.fan = 0
    rig.outputs.apply(1, rig.command)
    assert bench.get_level(2) == 0
    assert bench.get_level(3) == 1


class PwmLog:
    def __init__(self):
        self.log = []

    def duty_u16(self, value):
        self.log.append(value)


def test_servo_moves_only_on_change():
    pwm = PwmLog()
    servo = Servo(pwm)
    for on in (0, 0, 1, 1, 0):
        servo.show(on)
    # Hobby servos: 1 ms and 2 ms out of 20 ms (common practice).
    assert [round(duty * 20 / 65536, 2) for duty in pwm.log] == [1.0, 2.0, 1.0]


def played(pattern):
    bench.clear()
    pin = machine.Pin(13, machine.Pin.OUT, value=0)
    buzzer = Buzzer(pin)
    buzzer.play(0, pattern)
    on_ms = 0
    for now_ms in range(sum(pattern) + 10):
        buzzer.serve(now_ms)
        on_ms += pin()
    return on_ms, pin(), buzzer.playing


def test_each_pattern_plays_once_and_falls_silent():
    for pattern in (HEAT, WAIT, DOOR, DONE, TRIP):
        on_ms, level, playing = played(pattern)
        assert on_ms == sum(pattern[at] for at in range(0, len(pattern), 2))
        assert (level, playing) == (0, False)


def test_what_begins_is_heard_once():
    rig = Rig()
    heard = []
    rig.buzzer.play = lambda now_ms, pattern: heard.append(pattern)
    rig.heat()
    for change in (
        {},
        {"note": NOTE_WAIT_MARK},
        {"door_cue": 1},
        {"note": NOTE_FINISHED},
        {"trip": OVER_TEMPERATURE},
    ):
        for name, value in change.items():
            setattr(rig.command, name, value)
        for _ in range(3):
            rig.outputs.apply(0, rig.command)
    assert heard == [HEAT, WAIT, DOOR, DONE, TRIP]
