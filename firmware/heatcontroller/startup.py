# Builds the controller from its wiring and files, as what boot.py decided on, and runs it.

import gc

import heatcontroller
import heatcore
from heatcore.cutoff import Cutoff

from .app import App
from .clock import Clock
from .files import Files
from .guard import PERIOD_MS, Guard
from .link import Link
from .port import Port
from .recorder import Recorder
from .states import StateMachine
from .store import LOGS, PLANS, Store

PROTOCOL = 1
# Two leases of the cut-off. An RP2040's watchdog cannot be stopped once started.
WATCHDOG_MS = 2000
HEATING_BOOTS = ("run", "idle")


class Board:
    # What the main loop needs of the chip; `time` and wiring come from main.py.

    def __init__(self, wiring, time, config, heat: bool) -> None:
        self.wiring = wiring
        self.clock = Clock(time.ticks_ms, time.ticks_diff)
        self.sleep_ms = time.sleep_ms
        self.cutoff = Cutoff()
        self.hardware = wiring.build(config, self.cutoff, heat)
        # One turn of the loop a slot of the firing; a window of seconds needs no more than 50.
        self.slot_ms = 1000 // (config.mains_hz * wiring.SLOTS_PER_CYCLE)
        self.may_watch = heat
        self.guard = Guard(self.clock, self.cutoff, self.hardware.outputs.off)
        self.has_hard_timer = heat and wiring.start_guard(self.guard.check, PERIOD_MS)

    def start_watchdog(self):
        return self.wiring.start_watchdog(WATCHDOG_MS)

    def reset(self) -> None:
        self.wiring.reset()


def main(wiring, time, kind: str) -> None:
    try:
        app = build(wiring, time, kind, Store(Files("/", (PLANS, LOGS))), Port())
        # All is loaded: from here on the main loop says when to collect.
        gc.threshold(-1)
        app.run()
    finally:
        if kind in HEATING_BOOTS:
            wiring.outputs_off()


def build(wiring, time, kind: str, store, port) -> App:
    heat = kind in HEATING_BOOTS
    cause = wiring.reset_cause()
    _count(store, kind, cause)
    config = store.config()
    if kind == "hil" and config.outputs == "none":
        config = config.changed("outputs", "ssr")
    board = Board(wiring, time, config, heat)
    machine = StateMachine(config, board.hardware.outputs, store, _unheard)
    if kind == "service":
        machine.serve()
    panel = _panel(board.hardware, machine, store)
    head = _head(wiring, cause, board.has_hard_timer)
    link = Link(machine, store, port, head, _injected(board) if kind == "hil" else None)
    return App(board, machine, link, Recorder(store, head), panel)


def _count(store, kind: str, cause: str) -> None:
    if cause == "pwron":
        store.forget_heat()
    if kind in HEATING_BOOTS:
        store.count_boot(kind == "run" and cause == "wdt")
    else:
        # Whatever resets this boot, it is left on purpose.
        store.ask_next_boot("idle")


def _head(wiring, cause: str, has_hard_timer: bool) -> dict:
    return {
        "firmware": heatcontroller.VERSION,
        "core": heatcore.VERSION,
        "protocol": PROTOCOL,
        "chip": wiring.chip(),
        "reset": cause,
        # Whether an interrupt calls the cut-off. The bound for a hang is the watchdog either way.
        "hard_timer": has_hard_timer,
    }


def _injected(board):
    # The folder that holds this module is on the path in the HIL boot alone.
    board.hardware = __import__("injected").InjectedHardware(board.hardware, board.reset)
    return board.hardware.sense


def _panel(hardware, machine, store):
    if hardware.display is None or len(hardware.panel_buttons) != 3:
        return None
    from .panel import Panel

    return Panel(hardware.display, hardware.panel_buttons, machine, store)


def _unheard(run_ms: int, code: int, seen: int, expected: int) -> None:
    # Until the app listens.
    pass
