"""A closed loop with the plant on CPython: the core gives the same record on both sides."""

import subprocess

import pytest

from firmware.core import interpreters
from heatsim.plant import Plant
from heatwright.documents import load_source

TICKS = 1_400
MELTS_C = 217.0


def drive(interpreter):
    """The hash of a run whose plant is here and whose core is at the end of a pipe."""
    core = subprocess.Popen(
        interpreters.command(interpreter, "lockstep.py"),
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
        bufsize=1,
        env={**interpreters.environment(), "PYTHONUNBUFFERED": "1"},
    )
    plant = Plant(load_source("toaster").plant_params())
    truth = plant.temperatures()
    duties = []
    for tick in range(TICKS):
        sensor_mc = round(truth["sensor"] * 4) * 250
        mark, press = int(truth["board"] > MELTS_C), tick // 60
        core.stdin.write(f"{tick * 250} {sensor_mc} {mark} {press}\n")
        duties.append(int(core.stdout.readline()))
        truth = plant.step(0.25, duties[-1] / 10_000)
    said, _ = core.communicate(timeout=60)
    return duties, said.strip()


@pytest.fixture(scope="module")
def runs():
    return [drive(interpreter) for interpreter in ("cpython", "micropython")]


def test_the_same_hash(runs):
    (_, here), (_, there) = runs
    assert len(here) == 64
    assert here == there


def test_the_loop_was_closed(runs):
    duties = runs[0][0]
    assert runs[1][0] == duties
    assert len(set(duties)) > 100
