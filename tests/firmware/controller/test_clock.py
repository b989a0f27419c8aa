"""Uptime across the wrap of a 30-bit tick counter."""

from heatcontroller.clock import Clock

PERIOD = 1 << 30


class Ticks:
    """As MicroPython's: a counter of 30 bits, and differences within half a period."""

    def __init__(self, start):
        self.raw = start

    def ms(self):
        return self.raw % PERIOD

    def diff(self, later, earlier):
        return (later - earlier + PERIOD // 2) % PERIOD - PERIOD // 2


def test_counts_from_nought_wherever_the_ticks_stand():
    ticks = Ticks(PERIOD - 3)
    clock = Clock(ticks.ms, ticks.diff)
    assert clock.read() == 0
    ticks.raw += 10
    assert clock.read() == 10


def test_runs_on_across_many_wraps():
    ticks = Ticks(12_345)
    clock = Clock(ticks.ms, ticks.diff)
    for _ in range(20):
        ticks.raw += PERIOD // 3
        clock.read()
    assert clock.now_ms == 20 * (PERIOD // 3)
