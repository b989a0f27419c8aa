# Starts the controller from its wiring and files, as what boot.py decided on, and runs it.

from heatcore.cutoff import Cutoff

from . import on_demand
from .app import App
from .clock import Clock
from .files import Files
from .guard import PERIOD_MS, Guard
from .port import Port
from .store import LOGS, PLANS, Store

# Two leases of the cut-off. An RP2040's watchdog cannot be stopped once started.
WATCHDOG_MS = 2000
HEATING_BOOTS = ("run", "idle")
ONCE = (
    "heatcontroller.building",
    "heatcontroller.config_rules",
    "heatcontroller.drivers.hardware",
)


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
        build(wiring, time, kind, Store(Files("/", (PLANS, LOGS))), Port()).run()
    finally:
        if kind in HEATING_BOOTS:
            wiring.outputs_off()


def build(wiring, time, kind: str, store, port) -> App:
    # What is needed once does not stay.
    from . import building

    heat = kind in HEATING_BOOTS
    building.count(store, kind, heat, wiring.reset_cause())
    config = building.config(store, kind)
    board = Board(wiring, time, config, heat)
    app = building.build(board, config, kind, store, port)
    on_demand.let_go(ONCE)
    return app
