"""A controller on a bench: the real state machine, store and link over fake files and outputs.

Runs on CPython and MicroPython. Time moves only in `Bench.tick`.
"""

from heatcontroller.config import Config
from heatcontroller.states import ARMED, COUNTDOWN_MS, RUNNING, StateMachine
from heatcontroller.store import Store
from heatcore import plan
from heatcore.inputs import OK, Inputs

TICK_MS = 250
ROOM_MC = 22_000
PLAN_ID = "0badcafe"
STEP_MC = 1_200  # no source here gets warmer by more in a tick
EIO = 5
ENOENT = 2
ENOSPC = 28


def document(**changes):
    """A short run of the bat-call logger board: 60 s of heat, then 20 s of cooling."""
    doc = {
        "plan": 1,
        "name": "bat-call logger",
        "id": PLAN_ID,
        "law": "track",
        "tick_ms": TICK_MS,
        "t_ms": [0, 60_000, 80_000],
        "y_mc": [22_000, 200_000, 150_000],
        "u": [6_000, 6_000, 0],
        "b_mc": [22_000, 190_000, 150_000],
        "gains": [[0, 1_000, 10, 0, 16, 4_000]],
        "stages": [[0, "preheat"], [60_000, "ramp_down"]],
        "waits": [],
        "stretch_ms": 60_000,
        "limits": {
            "sensor_max_mc": 250_000,
            "board_max_mc": 250_000,
            "run_max_ms": 600_000,
            "rise_max_mk_s": 5_000,
        },
        "deviation": [],
        "start": {"sensor_min_mc": 5_000, "sensor_max_mc": 40_000, "rest_min_s": 300},
        "door_cue_ms": 60_000,
        "host_lost": "continue",
    }
    doc.update(changes)
    return doc


class Files:
    """Files in memory. `fails` is the error number that every write then raises."""

    def __init__(self):
        self.kept = {}
        self.fails = 0

    def _may_write(self):
        if self.fails:
            raise OSError(self.fails)

    def read(self, path):
        return self.kept.get(path)

    def read_part(self, path, offset, count):
        if path not in self.kept:
            raise OSError(ENOENT)
        return self.kept[path][offset : offset + count]

    def replace(self, path, data):
        self._may_write()
        self.kept[path] = bytes(data)

    def append(self, path):
        self._may_write()
        self.kept.setdefault(path, b"")
        return Appended(self, path)

    def remove(self, path):
        self._may_write()
        if path not in self.kept:
            raise OSError(ENOENT)
        del self.kept[path]

    def rename(self, old, new):
        self._may_write()
        if old not in self.kept:
            raise OSError(ENOENT)
        self.kept[new] = self.kept.pop(old)

    def list(self, folder):
        head = folder + "/"
        return [(p[len(head) :], len(d)) for p, d in self.kept.items() if p.startswith(head)]


class Appended:
    """A file open for appending: like the chip's file system, it keeps what was flushed."""

    def __init__(self, files, path):
        self._files = files
        self._path = path
        self._waiting = b""

    def write(self, data):
        self._files._may_write()
        self._waiting += bytes(data)

    def flush(self):
        self._files._may_write()
        self._files.kept[self._path] += self._waiting
        self._waiting = b""

    def close(self):
        self.flush()


class Outputs:
    has_two = False  # no safety relay: nothing to prove at arming

    def __init__(self):
        self.duty = 0
        self.relay = 0
        self.heated = 0
        self.ssr_alone = 0

    def apply(self, now_ms, command):
        self.duty, self.relay = command.duty, command.relay
        if command.duty or command.relay:
            self.heated += 1

    def close_ssr(self):
        self.ssr_alone += 1

    def off(self):
        self.duty = self.relay = 0

    @property
    def is_off(self):
        return not self.duty and not self.relay


class Bench:
    """One controller, its state machine ticked over readings that the test sets."""

    def __init__(self, files=None, config=None, doc=None, now_ms=1_000, sensor_mc=ROOM_MC):
        self.files = files or Files()
        self.store = Store(self.files)
        self.outputs = Outputs()
        self.events = []
        self.config = config or Config({"outputs": "ssr"})
        self.now_ms = now_ms
        self.inputs = Inputs()
        self.inputs.sensor_mc = sensor_mc
        self.inputs.door = 0
        if doc is not None:
            self.store.keep_plan(doc["id"], plan.write(doc))
        self.machine = StateMachine(self.config, self.outputs, self.store, self._hear)
        self.tick()

    def _hear(self, run_ms, code, seen, expected):
        self.events.append((run_ms, code, seen, expected))

    def tick(self, count=1, **changes):
        for name in changes:
            setattr(self.inputs, name, changes[name])
        for _ in range(count):
            self.now_ms += TICK_MS
            if self.inputs.sensor_status == OK or "sensor_status" not in changes:
                self._read()
            self.machine.step(self.now_ms, self.inputs)
        return self.machine.state

    def _read(self):
        self.inputs.sensor_status = OK
        self.inputs.sensor_age_ms = 0
        self.inputs.sensor_seq += 1

    def arm(self):
        return self.machine.arm(self.now_ms, PLAN_ID)

    def begin(self):
        """Armed, counted down, and running."""
        assert self.arm() is None
        assert self.machine.start(self.now_ms) is None
        self.tick(COUNTDOWN_MS // TICK_MS)
        assert self.machine.state == RUNNING
        return self

    def follow_plan(self, seconds):
        """The sensor does what the plan wants, for this long or until the run ends."""
        for _ in range(seconds * 1000 // TICK_MS):
            if self.machine.state not in (ARMED, RUNNING):
                return
            wanted_mc = max(ROOM_MC, self.machine.command.y_mc)
            self.tick(sensor_mc=min(wanted_mc, self.inputs.sensor_mc + STEP_MC))

    def cool(self, seconds, rate_mk_s=500):
        """The heater is off, and the sensor shows it."""
        for _ in range(seconds * 1000 // TICK_MS):
            self.tick(sensor_mc=self.inputs.sensor_mc - rate_mk_s * TICK_MS // 1000)

    def codes(self):
        return [code for _, code, _, _ in self.events]

    def restarted(self):
        """The same files after a restart of the chip."""
        return Bench(self.files, self.config)
