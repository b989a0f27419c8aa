"""What the simulated bench makes of the chip's pins: heat, fan, and time that goes by."""

import pytest

from heatsim.virtual.frames import PINS, Frame, Kind
from heatsim.virtual.serving import FOR_GOOD_S, Server, Timing
from heatsim.virtual.workshop import Workshop

SSR, RELAY, FAN = 3, 4, 5
WIRED = {"SSR_PIN": SSR, "RELAY_PIN": RELAY, "FAN_PIN": FAN}


class Told:
    """A plant that remembers what it was told: seconds, duty, fan of each step."""

    def __init__(self):
        self.steps = []

    def reset(self, ambient_c):
        self.steps.clear()

    def step(self, dt_s, duty, door=0.0, fan=0.0, mains=1.0):
        self.steps.append((dt_s, duty, fan))
        return {"board": 25.0, "sensor": 25.0}


def frame(now_s, *high, watchdog_s=0.0):
    """All three pins are outputs; those named have been high since the start."""
    us = round(now_s * 1e6)
    return Frame(
        kind=Kind.SYNC, number=1, now_us=us, first=0, second=0, sent=b"",
        levels=sum(1 << pin for pin in high), drives=1 << SSR | 1 << RELAY | 1 << FAN,
        watchdog_us=round(watchdog_s * 1e6), free_bytes=0,
        on_us=tuple(us * (pin in high) for pin in range(PINS)),
    )  # fmt: skip


@pytest.fixture
def bench():
    workshop = Workshop(Told(), WIRED)
    workshop.plant.steps.clear()
    return workshop


def test_heat_needs_both_outputs(bench):
    bench.run_to(frame(1.0, SSR))
    bench.run_to(frame(2.0, SSR, RELAY))
    assert [step[1] for step in bench.plant.steps] == [0.0, 1.0]


def test_a_wired_fan_turns_while_its_pin_is_high(bench):
    bench.run_to(frame(1.0, FAN))
    bench.run_to(frame(2.0))
    assert [step[2] for step in bench.plant.steps] == [1.0, 0.0]
    unwired = Workshop(Told(), {**WIRED, "FAN_PIN": None})
    unwired.run_to(frame(1.0, FAN))
    assert unwired.plant.steps[-1][2] == 0.0


@pytest.mark.parametrize(("watchdog_s", "held_s"), [(2.0, 2.0), (0.0, FOR_GOOD_S)])
def test_a_program_that_stands_still_heats_until_its_watchdog_bites(bench, watchdog_s, held_s):
    server = Server(bench, Timing())
    assert not server.starve()
    server.last = frame(1.0, SSR, RELAY, watchdog_s=watchdog_s)
    assert server.starve() is (watchdog_s > 0)
    assert bench.heat_s == pytest.approx(held_s)
    assert max(step[0] for step in bench.plant.steps) <= 0.25
