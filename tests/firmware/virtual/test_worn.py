"""The firmware with each of the four converters on the bench's bus: whole runs, faults, mix-ups."""

import contextlib
import itertools
import json
from collections.abc import Iterator
from pathlib import Path

import pytest

from heatcore import codes, inputs
from heatcore.plan import read as read_plan
from heatsim.sensor import CONVERTERS, Sensor
from heatsim.virtual.chip import ChipSetup
from heatsim.virtual.kettle import KettlePlant
from heatsim.virtual.lockstep import LockstepController
from heatsim.virtual.pins import shipped_pins
from heatsim.virtual.workshop import Workshop
from heatwright.records.lines import SAMPLE_FIELDS
from heatwright.running.target import Refused
from virtual_made import PINS, put_firmware, target, track_plan

AT = {name: 1 + at for at, name in enumerate(SAMPLE_FIELDS)}
# What a run at 1 K/s moves between two ticks, the chip's steps, its noise.
NEAR_K = 1.5
KINDS = sorted(CONVERTERS)


def bench(root: Path, kind: str, second: str = "none", **wrong: float) -> LockstepController:
    """A flashed controller set up for these converters, which its bench wears."""
    put_firmware(root)
    config = {"outputs": "ssr", "sensor": kind, "second": second}
    (root / "config.json").write_text(json.dumps(config))
    worn = Sensor(kind, noise_k=0.15, seed=1, **wrong)
    other = None if second == "none" else Sensor(second, noise_k=0.15, seed=2)
    workshop = Workshop(KettlePlant(), shipped_pins() | PINS, sensor=worn, second=other)
    return LockstepController(ChipSetup(root), workshop)


def run(controller: LockstepController) -> Iterator[list]:
    plan = track_plan(110.0, 10)
    on = target(controller)
    on.put(plan)
    on.ask("arm", read_plan(plan).id)
    on.ask("start")
    return on.lines()


@pytest.mark.parametrize("kind", KINDS)
def test_a_whole_run_reads_what_the_bead_is_at(tmp_path: Path, kind: str) -> None:
    off_k, ages_ms, highest_c = [], set(), 0.0
    with bench(tmp_path, kind) as controller:
        for values in run(controller):
            if values[0] != "s":
                assert values[AT["now_ms"] + 1] not in codes.TRIP_NAMES
                continue
            true_c = controller.workshop.temperatures["sensor"]
            assert values[AT["sensor_status"]] == inputs.OK
            off_k.append(abs(values[AT["sensor_mc"]] / 1000 - true_c))
            ages_ms.add(values[AT["sensor_age_ms"]])
            highest_c = max(highest_c, true_c)
            junction_mc = values[AT["cold_junction_mc"]]
            reports = CONVERTERS[kind].junction_step_k is not None
            assert (junction_mc == inputs.NONE) != reports
    assert len(off_k) > 400
    assert max(off_k) < NEAR_K
    assert 105 < highest_c < 115
    # each tick has a new value
    assert max(ages_ms) < 250


@pytest.mark.parametrize("kind", KINDS)
def test_an_open_lead_turns_the_heat_off(tmp_path: Path, kind: str) -> None:
    said = []
    with bench(tmp_path, kind) as controller:
        for values in run(controller):
            if values[0] == "s" and values[AT["now_ms"]] == 30_000:
                controller.workshop.bead_status = inputs.OPEN
            if values[0] == "e":
                said.append(values[3])
        assert controller.workshop.temperatures["sensor"] < 80
    assert inputs.OPEN in said  # the trip has the number of the status


def test_two_kinds_share_the_bus(tmp_path: Path) -> None:
    """A chip that reads on the other clock edge beside the first: neither disturbs the other."""
    apart_k = []
    with bench(tmp_path, "max31855", "max31856") as controller:
        for values in run(controller):
            if values[0] == "s":
                board_c = controller.workshop.temperatures["board"]
                assert values[AT["second_status"]] == inputs.OK
                apart_k.append(abs(values[AT["second_mc"]] / 1000 - board_c))
    assert max(apart_k) < NEAR_K


def test_a_cold_junction_that_is_off_shifts_a_thermocouple_and_no_platinum(tmp_path: Path) -> None:
    """5 K of error at the junction is 5 K at the bead; a PT100 has no junction."""
    off_k = {}
    for kind in ("max31856", "max31865"):
        (tmp_path / kind).mkdir()
        with bench(tmp_path / kind, kind, junction_error_k=5.0) as controller:
            sample = next(values for values in run(controller) if values[0] == "s")
            true_c = controller.workshop.temperatures["sensor"]
            off_k[kind] = sample[AT["sensor_mc"]] / 1000 - true_c
    assert 4.0 < off_k["max31856"] < 6.0
    assert abs(off_k["max31865"]) < 1.0


# Its word, two bytes of four, reads as twice the temperature: too little heat, never too much.
READS_TWICE = ("max31855", "max6675")
# Its word passes for half the temperature on and off: an open lead stops that, if not at arming
# then in seconds (up to 7.4 s of heat and 35 C in 24 runs with other noise).
READS_HALF = ("max6675", "max31855")
SHORT_S = 10.0


@pytest.mark.parametrize(("flashed", "fitted"), list(itertools.permutations(KINDS, 2)))
def test_another_converter_than_the_one_flashed_never_heats_too_much(
    tmp_path: Path, flashed: str, fitted: str
) -> None:
    """A MAX31855's word passes for half the temperature on a driver of MAX6675 while its last bit
    is not set, which is the other's bit for an open lead: never long enough to get hot.
    """
    with bench(tmp_path, flashed) as controller:
        controller.workshop.sensor = Sensor(fitted, noise_k=0.15, seed=1)
        with contextlib.suppress(Refused):
            for values in run(controller):
                is_read = values[0] == "s" and values[AT["sensor_status"]] == inputs.OK
                if is_read and (flashed, fitted) != READS_HALF:
                    true_c = controller.workshop.temperatures["sensor"]
                    assert values[AT["sensor_mc"]] / 1000 > true_c - NEAR_K
        if (flashed, fitted) == READS_HALF:
            assert controller.workshop.heat_s < SHORT_S
        elif (flashed, fitted) != READS_TWICE:
            assert controller.workshop.heat_s == 0.0
