"""The real firmware with a program planted that hangs in the midst of firing, and what it comes to.

What is planted stands before the shipped main.py, with the manifest made anew: boot.py checks it.
"""

from __future__ import annotations

import hashlib
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from heatcore.plan import read as read_plan
from heatsim.virtual import frames
from heatsim.virtual.chip import ChipSetup
from heatsim.virtual.lockstep import LockstepController
from virtual_made import PINS, kettle, put_firmware, target, track_plan

STRUCK_S = 20
WATCHED_S = 10.0
MOST_S = 120.0
BOTH = ("SSR_PIN", "RELAY_PIN")

# In the tick that finds both outputs closed, so long after the start.
IN_TICK = f"""
import machine
from heatcontroller import wiring
from heatcore import loop

def fires():
    return machine.Pin(wiring.SSR_PIN)() and machine.Pin(wiring.RELAY_PIN)()

whole = loop.ControlLoop.tick

def tick(self, now_ms, inputs):
    if now_ms >= {STRUCK_S * 1000} and fires():
        strike()
    return whole(self, now_ms, inputs)

loop.ControlLoop.tick = tick
"""
HARD_TIMER = """
import bench
bench.has_hard_timers = True
"""
SILENT = """
def strike():
    while True:
        pass
"""
BY_THE_CLOCK = """
import time
def strike():
    while True:
        time.sleep_ms(1)
"""
INTERRUPTS_OFF = """
import machine, time
def strike():
    machine.disable_irq()
    while True:
        time.ticks_ms()
"""
IN_CALLBACK = """
import machine, time
def stand(timer):
    while True:
        time.sleep_ms(1)

def strike():
    machine.Timer(-1, mode=machine.Timer.ONE_SHOT, period=5, callback=stand)
"""
PLANTED = {
    "in the tick": SILENT + IN_TICK,
    "in the tick, with a hard timer": HARD_TIMER + BY_THE_CLOCK + IN_TICK,
    "with interrupts off": HARD_TIMER + INTERRUPTS_OFF + IN_TICK,
    "in a callback": IN_CALLBACK + IN_TICK,
}


@dataclass(frozen=True)
class Ended:
    """What a hang came to: `heated_s` is how long both outputs were closed from then on."""

    heated_s: float
    resets: list[int]
    state: str
    heated_later_s: float
    are_low: bool


def hung(planted: str) -> Ended:
    """A run that hangs as planted, up to some seconds after the controller is back."""
    with _running(planted) as controller:
        workshop = controller.workshop
        before_s = workshop.heat_s
        end_s = workshop.time_s + MOST_S
        while not controller.resets and workshop.time_s < end_s:
            before_s = workshop.heat_s
            controller.step()
        return _ended(controller, before_s)


def soft_reset() -> Ended:
    """Ctrl-D, or a program that ends, while both outputs are closed: pins stay as they are."""
    with _running("") as controller:
        assert controller.run_until(lambda: _fires(controller), MOST_S)
        heat_s = controller.workshop.heat_s
        controller.restart(frames.SOFT_RESET)
        return _ended(controller, heat_s)


def _ended(controller: LockstepController, heat_s: float) -> Ended:
    workshop = controller.workshop
    resets = controller.resets.copy()
    state = target(controller).hello()["state"]
    heated_s = workshop.heat_s - heat_s
    controller.run_until(lambda: False, WATCHED_S)
    last = controller.server.last
    are_low = last is not None and not any(last.drives_high(workshop.pins[pin]) for pin in BOTH)
    return Ended(heated_s, resets, state, workshop.heat_s - heat_s - heated_s, are_low)


def _fires(controller: LockstepController) -> bool:
    last, pins = controller.server.last, controller.workshop.pins
    is_late = controller.workshop.heat_s > 5
    return is_late and last is not None and all(last.drives_high(pins[pin]) for pin in BOTH)


@contextmanager
def _running(planted: str) -> Iterator[LockstepController]:
    with tempfile.TemporaryDirectory() as folder:
        root = put_firmware(Path(folder), **PINS)
        _plant(root, planted)
        with LockstepController(ChipSetup(root), kettle(**PINS)) as controller:
            plan = track_plan()
            run = target(controller)
            run.put(plan)
            run.ask("arm", read_plan(plan).id)
            run.ask("start")
            yield controller


def _plant(root: Path, planted: str) -> None:
    main = root / "main.py"
    was = main.read_bytes()
    main.write_bytes(planted.encode() + was)
    manifest = root / "manifest.txt"
    old, new = (hashlib.sha256(data).hexdigest() for data in (was, main.read_bytes()))
    assert old in manifest.read_text()
    manifest.write_text(manifest.read_text().replace(old, new))
