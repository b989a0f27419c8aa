"""The power is cut at a random instant of a run: at any write, or between two."""

import contextlib
import random

import pytest
from workbench import EIO, PLAN_ID, Appended, Bench, Files, document

from heatcontroller.config import Config
from heatcontroller.recorder import Recorder
from heatcontroller.states import COOLING, IDLE, RUNNING, TRIPPED
from heatcore import line, plan
from heatcore.command import FIELDS as COMMAND_FIELDS
from heatcore.inputs import FIELDS as INPUT_FIELDS

CUTS = 500
HEAD = {"firmware": "0.1.0", "core": "0.1.0", "chip": "rp2040"}


class PowerCut(BaseException):
    """The chip stops here. Not an Exception: nothing in the firmware may catch it."""


class CutFiles(Files):
    """Files that lose power at the write of a given number.

    As littlefs: a file holds what was synced, a rename is whole or not at all. A write that was
    cut leaves either the old or the new content; a file written beside may be torn.
    """

    def __init__(self, cut_at, chance):
        super().__init__()
        self.cut_at = cut_at
        self.chance = chance
        self.writes = 0
        self.is_cut = False

    def _may_write(self):
        super()._may_write()
        self.writes += 1
        if self.writes >= self.cut_at:
            self.is_cut = True
            raise PowerCut

    def _unless_cut(self, act, torn=lambda: None):
        try:
            self._may_write()
        except PowerCut:
            self.chance.choice((act, torn, lambda: None))()
            raise
        act()

    def replace(self, path, data):
        beside = path + ".new"
        part = data[: self.chance.randrange(len(data) + 1)]
        self._unless_cut(lambda: self._set(beside, data), lambda: self._set(beside, part))
        self.rename(beside, path)

    def _set(self, path, data):
        self.kept[path] = bytes(data)

    def append(self, path):
        self.kept.setdefault(path, b"")
        return CutAppended(self, path)

    def rename(self, old, new):
        if old not in self.kept:
            raise OSError(EIO)
        self._unless_cut(lambda: self.kept.__setitem__(new, self.kept.pop(old)))


class CutAppended(Appended):
    def write(self, data):
        self._waiting += bytes(data)

    def flush(self):
        if self._waiting:
            self._files._unless_cut(self._keep)

    def _keep(self):
        self._files.kept[self._path] += self._waiting
        self._waiting = b""


class LoggedRun:
    """One whole run with its log, as the app writes it, until the power goes."""

    def __init__(self, files):
        self.seen_ms = -1
        self.bench = Bench(files, Config({"outputs": "ssr"}))
        self.recorder = Recorder(self.bench.store, HEAD)
        self.was = IDLE
        self.seq = 0

    def go(self, ticks):
        bench = self.bench
        bench.arm()
        bench.machine.start(bench.now_ms)
        for _ in range(ticks):
            machine = bench.machine
            target_mc = machine.command.y_mc if machine.state == RUNNING else bench.inputs.sensor_mc
            bench.tick(sensor_mc=max(22_000, target_mc))
            if machine.state == COOLING:
                bench.inputs.sensor_mc -= 250
            self.log()

    def log(self):
        machine = self.bench.machine
        self.seq += 1
        if machine.state in (RUNNING, COOLING):
            self.seen_ms = machine.run_ms
        values = ["s", self.seq, machine.run_ms]
        values += [getattr(self.bench.inputs, name) for name in INPUT_FIELDS]
        values += [getattr(machine.command, name) for name in COMMAND_FIELDS]
        self.recorder.tick(machine, self.was, line.encode(values))
        self.was = machine.state


def logged(store):
    """The samples of the last run that stand in the log, each line whole."""
    number = store.runs()[-1][0]
    lines = store.read_run(number, 0, 1 << 20).splitlines(keepends=True)
    decoded = [line.decode(one) for one in lines]
    assert None not in decoded
    return [values for values in decoded if values[0] == "s"]


def writes_of_a_whole_run():
    files = CutFiles(1 << 30, random.Random(0))
    files.kept["plans/" + PLAN_ID] = plan.write(document())
    LoggedRun(files).go(1_000)
    return files.writes


def cut_run(files, ticks):
    run = LoggedRun(files)
    with contextlib.suppress(PowerCut):
        run.go(ticks)
    return run


@pytest.mark.campaign
def test_power_cuts(counted):
    chance = random.Random(20_250)
    total = writes_of_a_whole_run()
    assert total > 80
    for _ in range(max(25, counted(CUTS))):
        # Half of them in the middle of a write, half between two ticks.
        in_write = chance.random() < 0.5
        files = CutFiles(chance.randrange(1, total + 1) if in_write else 1 << 30, chance)
        files.kept["plans/" + PLAN_ID] = plan.write(document())
        ticks = 1_000 if in_write else chance.randrange(0, 480)
        run = cut_run(files, ticks)
        check_after_cut(run, files)


def check_after_cut(run, files):
    was_hot = run.seen_ms >= 0 and run.bench.machine.state in (RUNNING, COOLING)
    files.cut_at = 1 << 30
    again = Bench(files, Config({"outputs": "ssr"}))
    assert again.outputs.is_off
    assert again.machine.state == (TRIPPED if again.store.marker() else IDLE)
    if was_hot and again.machine.state != TRIPPED:
        # Only a cut while the finished run took its own marker away may leave none.
        assert run.bench.machine.state == COOLING
        assert again.store.was_heated()
    again.tick(8)
    assert again.outputs.heated == 0
    assert again.store.plan(PLAN_ID) == plan.write(document())
    if run.seen_ms > 0:
        kept = logged(again.store)
        assert run.seen_ms - (kept[-1][2] if kept else 0) <= 1_000
