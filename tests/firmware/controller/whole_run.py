"""A whole plan on the whole firmware, for MicroPython in the heap of a chip. Prints JSON.

The real drivers, main loop, link and log stand on the shadow chip, with "panel" the panel too. Each
flash write stalls the clock as an erase does, and the host reads nothing.
"""

import gc
import json
import sys

import bench as chip

from heatcontroller import startup, wiring
from heatcontroller.files import Files
from heatcontroller.states import ARMED, COOLING, IDLE, RUNNING
from heatcontroller.store import LOGS, PLANS, Store

# W25Q-type flash, as on RP2040 boards: sector erase 45 ms typical, 400 ms at most (data sheet).
ERASE_US = 45_000
# Each read of the clock costs this: on the chip, Python's own time for a turn.
TURN_US = 1_000
PANEL_ADDRESS = 0x3C


class Time:
    @staticmethod
    def ticks_ms():
        chip.advance(TURN_US)
        return chip.now_us // 1000

    @staticmethod
    def ticks_diff(later, earlier):
        return later - earlier

    @staticmethod
    def sleep_ms(ms):
        chip.sleep(ms * 1000)


class FlashFiles(Files):
    """Real files, at the pace of flash."""

    def replace(self, path, data):
        chip.advance(2 * ERASE_US)
        Files.replace(self, path, data)

    def append(self, path):
        return Stalling(Files.append(self, path))


class Stalling:
    def __init__(self, file):
        self._file = file
        self.write = file.write
        self.close = file.close

    def flush(self):
        chip.advance(ERASE_US)
        self._file.flush()


class SilentPort:
    def read(self, buffer):
        return 0

    def write(self, view):
        return 0


class Oven:
    """A first-order oven behind a MAX31855: warms with the time that both outputs were on."""

    def __init__(self):
        self.mc = 22_000
        self._seen_us = [0, 0]
        self._asked_us = 0

    def _new_us(self, index, pin):
        chip.settle(pin)
        new_us = chip.on_us[pin] - self._seen_us[index]
        self._seen_us[index] += new_us
        return new_us

    def exchange(self, sent, count):
        on_us = self._new_us(0, wiring.SSR_PIN)
        on_us = min(on_us, self._new_us(1, wiring.RELAY_PIN))
        passed_us = chip.now_us - self._asked_us
        self._asked_us = chip.now_us
        self.mc += on_us * 5 // 1000 - (self.mc - 22_000) * (passed_us // 1000) // 150_000
        word = (self.mc // 250) << 18 | 22 << 8
        return bytes([word >> 24 & 255, word >> 16 & 255, word >> 8 & 255, word & 255])


class Panel:
    def exchange(self, sent, count):
        return b""


def fit_panel():
    chip.i2c_devices[PANEL_ADDRESS] = Panel()
    wiring.I2C_SDA_PIN, wiring.I2C_SCL_PIN, wiring.PANEL_BUTTON_PINS = 4, 5, (6, 7, 8)


def start(root):
    chip.spi_devices[wiring.SENSOR_CS_PIN] = Oven()
    chip.grounded = 1 << wiring.STOP_PIN
    store = Store(FlashFiles(root, (PLANS, LOGS)))
    return startup.build(wiring, Time, "run", store, SilentPort())


def turn_for(app, ms):
    """Runs the main loop for this long; returns the heap that is free after a collection."""
    end_us = chip.now_us + ms * 1000
    while chip.now_us < end_us:
        app.turn()
    gc.collect()
    return gc.mem_free()


def step_bytes(app):
    """What one tick of the state machine allocates."""
    gc.collect()
    before = gc.mem_alloc()
    app.machine.step(app.board.clock.now_ms + 1, app.inputs)
    return gc.mem_alloc() - before


def run(app, plan_id):
    free = turn_for(app, 2_000)
    refused = app.machine.arm(app.board.clock.now_ms, plan_id) or app.machine.start(
        app.board.clock.now_ms
    )
    assert refused is None, refused
    states, hottest_mc, bytes_in_step, modules = [], 0, -1, []
    while app.machine.state != IDLE:
        free = min(free, turn_for(app, 1_000))
        hottest_mc = max(hottest_mc, app.inputs.sensor_mc)
        if app.machine.state not in states:
            states.append(app.machine.state)
        if app.machine.state == RUNNING and bytes_in_step < 0 and app.machine.run_ms > 20_000:
            bytes_in_step = step_bytes(app)
            modules.append(len(sys.modules))
            reads_plans = "heatcore.plan" in sys.modules
        elif app.machine.state == COOLING and len(modules) == 1:
            modules.append(len(sys.modules))
        assert app.machine.trip == 0, app.machine.trip
    assert states[0] in (ARMED, RUNNING)
    # what reads a plan and what drives a run find room a second time; the source is still warm
    refused = app.machine.arm(app.board.clock.now_ms, plan_id)
    return {
        "again": refused and refused[0],
        "states": states,
        "seconds": chip.now_us // 1_000_000,
        "hottest_mc": hottest_mc,
        "free_bytes": free,
        "heap_bytes": gc.mem_free() + gc.mem_alloc(),
        "step_bytes": bytes_in_step,
        "modules": modules,
        "reads_plans": reads_plans,
        "worst_late_ms": app.worst_late_ms,
        "log_bytes": app.machine.store.runs()[-1][1],
        "trouble": app.machine.store.trouble,
    }


def main(root, has_panel):
    if has_panel:
        fit_panel()
    app = start(root)
    print(json.dumps(run(app, app.machine.store.plans()[0])))


main(sys.argv[1], "panel" in sys.argv)
