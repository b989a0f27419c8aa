"""Every named fault does what its name says, where it says it: at sensor, output, plant, clock."""

import pytest
from thermocouple_its90 import TypeK, TypeN

from heatcontroller.states import COOLING, RUNNING, TRIPPED
from heatcore import inputs, plan
from heatsim import faults, loop
from heatsim.bead import WRONG_TYPE_GAIN
from heatsim.faults import Fault
from heatsim.loop import Rig, SimulatedController
from heatsim.plant import Plant
from heatsim.plugin import PluginPlant
from heatsim.sensor import Sensor
from heatwright.documents import load_source

ROOM_C = 25.0
NOW, MC, STATUS = 2, 3, 4


class Block:
    """A lump of metal that keeps its temperature; remembers what the loop gave it."""

    def __init__(self, board_c=150.0, air_c=None):
        self.board_c, self.air_c = board_c, air_c
        self.given = []

    def reset(self, ambient_c):
        self.given.clear()

    def step(self, dt_s, duty, door=0.0, fan=0.0, mains=1.0):
        self.given.append((duty, door, fan, mains))
        told = {"board": self.board_c, "sensor": self.board_c}
        return told if self.air_c is None else told | {"air": self.air_c}


def document(**changes):
    doc = {
        "plan": 1, "name": "level", "id": "5ca1ab1e", "law": "duty", "tick_ms": 250,
        "t_ms": [0, 600_000], "y_mc": [], "u": [5000, 5000], "b_mc": [], "gains": [],
        "stages": [[0, "preheat"], [590_000, "ramp_down"]], "waits": [], "stretch_ms": 0,
        "limits": {"sensor_max_mc": 290_000, "board_max_mc": 270_000, "run_max_ms": 900_000,
                   "rise_max_mk_s": 20_000},
        "deviation": [],
        "start": {"sensor_min_mc": 0, "sensor_max_mc": 200_000, "rest_min_s": 0},
        "door_cue_ms": -1, "host_lost": "stop",
    }  # fmt: skip
    return plan.write(doc | changes)


class Bench:
    """A run on a block, past its countdown, with all lines kept."""

    def __init__(self, block=None, **changes):
        self.block = block or Block()
        plant = PluginPlant("block", self.block)
        plant.reset(ROOM_C)
        self.lines = []
        self.controller = SimulatedController(Rig(plant, Sensor(), **changes), self.lines.append)
        assert self.controller.arm(self.controller.put(document())) is None
        assert self.controller.start() is None
        while self.controller.machine.state not in (RUNNING, TRIPPED):
            self.controller.tick()

    def after(self, name, ticks):
        """Strike, tick on, and give the inputs and the plant's share of every tick since."""
        faults.strike(self.controller, name)
        self.lines.clear()
        self.block.given.clear()
        for _ in range(ticks):
            self.controller.tick()
        return [line for line in self.lines if line[0] == "s"]

    @property
    def shares(self):
        return [given[0] for given in self.block.given]


def read_c(name, ticks=80, block=None):
    """What the sensor shows that long after the fault; the controller may well have tripped."""
    bench = Bench(block)
    bench.after(name, ticks)
    bench.controller.rig.sensor.fill(bench.controller.now_ms, bench.controller._inputs)
    return bench.controller._inputs.sensor_mc / 1000


def test_a_sound_bead_reads_the_block():
    assert Bench().after("mains-sag", 4)[-1][MC] == pytest.approx(150_000, abs=300)


def test_touching_leads_read_the_cold_junction():
    assert read_c("sensor-shorted") == pytest.approx(ROOM_C, abs=0.5)


def test_swapped_leads_read_as_far_below_the_junction_as_it_is_above():
    assert read_c("sensor-reversed", block=Block(60.0)) == pytest.approx(-10.0, abs=1.5)


def test_the_wrong_wire_shows_three_quarters_of_the_rise():
    assert read_c("sensor-wrong-type") == pytest.approx(ROOM_C + 0.75 * 125.0, abs=1.0)


def test_type_n_wire_gives_three_quarters_of_type_k():
    # IEC 60584-1 by PyPI thermocouple-its90: at a peak, and somewhat less on the way there
    def share(hot_c):
        return (TypeN.emf(hot_c) - TypeN.emf(ROOM_C)) / (TypeK.emf(hot_c) - TypeK.emf(ROOM_C))

    assert share(245.0) == pytest.approx(WRONG_TYPE_GAIN, abs=0.01)
    assert share(150.0) == pytest.approx(WRONG_TYPE_GAIN, abs=0.05)


def test_a_bead_in_the_room_cools_as_a_bead_does():
    assert read_c("sensor-detached-ambient", ticks=16) == pytest.approx(
        ROOM_C + 125.0 * 2.718**-1, abs=6.0
    )
    assert read_c("sensor-detached-ambient", ticks=160) == pytest.approx(ROOM_C, abs=0.5)


def test_a_bead_in_the_air_reads_the_air():
    assert read_c("sensor-detached-air", 160, Block(150.0, air_c=210.0)) == pytest.approx(
        210.0, abs=0.5
    )


def test_a_foreign_plant_without_air_has_it_half_way_to_the_room():
    assert read_c("sensor-detached-air", 160) == pytest.approx(87.5, abs=0.5)


def test_a_broken_wire_is_told_by_the_converter():
    sample = Bench().after("sensor-open", 2)[-1]
    assert sample[STATUS] == inputs.OPEN
    assert sample[MC] == inputs.NONE


def test_a_stuck_converter_repeats_its_word_but_goes_on_counting():
    bench = Bench()
    faults.strike(bench.controller, "sensor-stuck")
    before = bench.controller._inputs.sensor_mc, bench.controller._inputs.sensor_seq
    bench.block.board_c = 100.0
    bench.controller.tick()
    assert bench.controller._inputs.sensor_mc == before[0]
    assert bench.controller._inputs.sensor_seq == before[1] + 1


def test_noise_is_ten_kelvin():
    bench = Bench()
    faults.strike(bench.controller, "sensor-noisy")
    read = [bench.controller.rig.sensor.convert(150.0, ROOM_C)[0] for _ in range(400)]
    mean = sum(read) / len(read)
    assert (sum((one - mean) ** 2 for one in read) / len(read)) ** 0.5 == pytest.approx(10, rel=0.2)


def test_a_wrong_junction_takes_the_reading_with_it():
    bench = Bench()
    bench.after("cold-junction-wrong", 2)
    assert bench.controller._inputs.cold_junction_mc == pytest.approx(5_000, abs=100)
    assert bench.controller._inputs.sensor_mc == pytest.approx(130_000, abs=1500)


@pytest.mark.parametrize(
    ("name", "low", "high"),
    [
        ("relay-shorted", 1.0, 1.0),
        ("relay-open", 0.0, 0.0),
        ("relay-half", 0.7, 0.8),
        ("safety-relay-welded", 0.45, 0.55),
        ("both-welded", 1.0, 1.0),
        ("element-half", 0.2, 0.3),
    ],
)
def test_what_reaches_the_element_at_half_duty(name, low, high):
    bench = Bench()
    bench.after(name, 12)
    assert low <= sum(bench.shares) / len(bench.shares) <= high


@pytest.mark.parametrize(
    ("name", "share"), [("relay-shorted", 0.0), ("safety-relay-welded", 0.0), ("both-welded", 1.0)]
)
def test_what_a_stop_leaves_on(name, share):
    bench = Bench()
    faults.strike(bench.controller, name)
    bench.controller.stop()
    bench.controller.tick()
    assert bench.controller.machine.state == COOLING
    bench.block.given.clear()
    bench.controller.tick()
    assert bench.shares == [share]


def test_the_fan_stands_still():
    bench = Bench()
    bench.controller.tick()
    assert bench.block.given[-1][2] == 1.0
    bench.after("fan-stopped", 1)
    assert bench.block.given[-1][2] == 0.0


def test_a_fan_of_the_plants_own_stands_still_too():
    plant = Plant(load_source("hot-air").plant_params())
    twin = Plant(plant.params)
    twin.stop_own_fan()
    for _ in range(400):
        blown, still = plant.step(0.25, 0.5), twin.step(0.25, 0.5)
    assert blown["board"] > still["board"] + 20.0


def test_an_open_door_is_open_and_seen():
    bench = Bench()
    samples = bench.after("door-open", 2)
    assert bench.block.given[-1][1] == 1.0
    assert samples[-1][3 + inputs.FIELDS.index("door")] == 1


def test_a_sag_takes_a_quarter_of_the_volts_for_a_minute():
    bench = Bench()
    bench.after("mains-sag", 4 * 70)
    volts = [given[3] for given in bench.block.given]
    assert volts[4] == pytest.approx(0.75)
    assert volts[-1] == pytest.approx(1.0)
    assert 235 <= sum(one < 0.9 for one in volts) <= 245


def test_the_clock_jumps_ten_seconds():
    bench = Bench()
    before_ms = bench.controller.now_ms
    bench.after("clock-jump", 1)
    assert bench.controller.now_ms - before_ms == 10_250


def test_one_bit_of_the_plan_flips():
    bench = Bench()
    held = bench.controller.machine.plan.u
    before = list(held)
    faults.strike(bench.controller, "plan-corrupt")
    flipped = [a ^ b for a, b in zip(before, held, strict=True) if a != b]
    assert len(flipped) == 1
    assert bin(flipped[0]).count("1") == 1


def test_a_fault_of_the_chip_is_not_to_be_had_here():
    with pytest.raises(ValueError, match="virtual controller"):
        faults.strike(Bench().controller, "power-loss")


def test_a_fault_is_struck_in_its_time_and_once():
    bench = Bench(faults=(Fault("sensor-open", 5.0),))
    for _ in range(40):
        bench.controller.tick()
    opened = [line[NOW] for line in bench.lines if line[0] == "s" and line[STATUS] == inputs.OPEN]
    assert 5_000 < opened[0] <= 5_500
    bench.controller.rig.sensor.status = inputs.OK
    bench.controller.tick()
    assert bench.controller._inputs.sensor_status == inputs.OK


def test_a_fault_from_before_arming_is_there_at_the_first_reading():
    plant = PluginPlant("block", Block())
    plant.reset(ROOM_C)
    controller = SimulatedController(
        Rig(plant, Sensor(), faults=(Fault("sensor-open", -1.0),)), lambda line: None
    )
    code, _ = controller.arm(controller.put(document()))
    assert code == "no_reading"


def test_every_name_is_either_struck_here_or_on_the_chip():
    assert set(faults.IN_LOOP) | set(faults.ON_CHIP) == set(faults.KINDS)
    assert set(faults.ON_CHIP) == {"controller-hung", "frame-corrupt", "power-loss"}
    assert len(faults.KINDS) == 23
    assert loop.TICK_S == 0.25
