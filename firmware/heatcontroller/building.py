# Joins everything to an app, once, at the start: nothing that stays may refer to this file.

import heatcontroller
import heatcore

from .app import App
from .link import Link
from .recorder import Recorder
from .states import StateMachine

PROTOCOL = 1


def config(store, kind: str):
    found = store.config()
    if kind == "hil" and found.outputs == "none":
        return found.changed("outputs", "ssr")
    return found


def build(board, config, kind: str, store, port) -> App:
    machine = StateMachine(config, board.hardware.outputs, store, _unheard)
    if kind == "service":
        machine.serve()
    panel = _panel(board.hardware, machine, store)
    head = _head(board)
    link = Link(machine, store, port, head, _injected(board) if kind == "hil" else None)
    return App(board, machine, link, Recorder(store, head), panel)


def count(store, kind: str, heat: bool, cause: str) -> None:
    if cause == "pwron":
        store.forget_heat()
    if heat:
        store.count_boot(kind == "run" and cause == "wdt")
    else:
        # Whatever resets this boot, it is left on purpose.
        store.ask_next_boot("idle")


def _head(board) -> dict:
    wiring = board.wiring
    return {
        "firmware": heatcontroller.VERSION,
        "core": heatcore.VERSION,
        "protocol": PROTOCOL,
        "chip": wiring.chip(),
        "reset": wiring.reset_cause(),
        # Whether an interrupt calls the cut-off. The bound for a hang is the watchdog either way.
        "hard_timer": board.has_hard_timer,
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
