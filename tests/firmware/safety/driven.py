"""A run on the small integer oven, with a fault in what the core is told from some moment on."""

from core.oven import ROOM_MC, Oven
from core.plans import document, make, open_loop, plain
from heatcore.inputs import FIELDS, Inputs
from heatcore.limits import TICK_MS
from heatcore.loop import ControlLoop

STRUCK_MS = 40_000  # warm, in preheat, heat on
PATIENT_MS = 150_000  # the slowest rule trips well within this
QUIET_TICKS = 20


def track():
    return document(waits=[])


def modelled():
    """A plan whose curve is this oven's own, with the row of its own model: first order, 120 s."""
    oven, rows = Oven(), []
    for tick in range(261 * 4):
        if tick % 20 == 0:
            rows.append((tick * TICK_MS, oven.inputs.sensor_mc))
        oven.heat(0 if tick > 640 else 6_000)
    return document(
        waits=[],
        t_ms=[row[0] for row in rows],
        y_mc=[row[1] for row in rows],
        u=[6_000 if row[0] <= 160_000 else 0 for row in rows],
        b_mc=[row[1] for row in rows],
        limits={**document()["limits"], "sensor_max_mc": 300_000, "board_max_mc": 275_000},
        deviation=[[0, 64_450, 0, 0, 53_900, 16, 5_000, 7_000, 9_000]],
    )


def still(doc):
    """The same kind of run, wanting no heat at all."""
    room = [ROOM_MC] * len(doc["t_ms"])
    flat = {"y_mc": room if doc["y_mc"] else [], "u": [0] * len(doc["u"])}
    return {**doc, **flat, "b_mc": room if doc["b_mc"] else []}


def setpoint():
    return plain()


def duty():
    return open_loop()


class Drive:
    """One core, one oven. `change(given, drive)` may alter what the core is told."""

    def __init__(self, doc):
        self.plan = make(doc)
        self.loop = ControlLoop(self.plan)
        self.oven = Oven()
        self.given = Inputs()
        self.now_ms = 0
        self.heater_duty = None  # a heater that does as it likes; None: as it is told
        self.command = self.loop.command
        self.duties = []

    def tick(self, change=None, step_ms=TICK_MS):
        for name in FIELDS:
            setattr(self.given, name, getattr(self.oven.inputs, name))
        if change:
            change(self.given, self)
        self.loop.tick(self.now_ms, self.given)
        self.now_ms += step_ms
        stuck = self.heater_duty
        self.oven.heat(self.command.duty if stuck is None else stuck)
        self.duties.append(self.command.duty)
        return self.command.trip

    def run_to(self, ms):
        while self.now_ms < ms and not self.loop.ended:
            assert self.tick() == 0, self.said()
        return self

    def trip_after(self, change, within_ms=PATIENT_MS):
        """(trip, ms until it came); (0, None) where none came, the run's end included."""
        began_ms = self.now_ms
        while self.now_ms - began_ms < within_ms and not self.loop.ended:
            if self.tick(change):
                return self.command.trip, self.now_ms - began_ms
        return 0, None

    def stays_off(self):
        """Whether the core keeps both outputs off, with every fault gone again."""
        for _ in range(QUIET_TICKS):
            self.tick()
            if self.command.duty or self.command.relay or self.command.fan:
                return False
        return self.command.trip != 0

    def said(self):
        return self.command.trip, self.loop.trip_seen, self.loop.trip_expected


def across(limit, step):
    """Values on both sides of a limit, the limit itself among them."""
    return [limit + count * step for count in (-3, -2, -1, 0, 1, 2, 3)]


def crosses(values, trips, limit, direction=1):
    """Trips beyond the limit and not up to it, and the values were really on both sides."""
    wanted = [(value - limit) * direction > 0 for value in values]
    assert any(wanted)
    assert not all(wanted)
    assert trips == wanted, list(zip(values, trips, strict=True))
