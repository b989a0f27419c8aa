"""The closed loop in simulated time: the same lines each time, verbs, trips, the door, the end."""

import pytest

from heatcontroller.states import BY_HOST, COUNTDOWN_MS
from heatcore import codes, inputs, plan
from heatcore.inputs import FIELDS as INPUT_FIELDS
from heatsim import loop, seeds
from heatsim.loop import Rig, SimulatedController
from heatsim.mains import Mains
from heatsim.plugin import PluginPlant
from heatsim.sensor import Sensor

NOW, SENSOR, DOOR = 2, 3, 3 + INPUT_FIELDS.index("door")
COMMAND = 3 + len(INPUT_FIELDS)
DUTY, RELAY, CUE, STAGE = COMMAND, COMMAND + 1, COMMAND + 3, COMMAND + 4


class SmallOven:
    """First order, quick, and honest about the door; for tests of everything but heat."""

    def __init__(self, gain_k=600.0, lag_s=60.0):
        self.gain_k, self.lag_s = gain_k, lag_s
        self.doors = []
        self.boards_c = []

    def reset(self, ambient_c):
        self.ambient_c = self.board_c = ambient_c

    def step(self, dt_s, duty, door=0.0, fan=0.0, mains=1.0):
        self.doors.append(door)
        loss = (self.board_c - self.ambient_c) * (1 + 3 * door)
        self.board_c += dt_s / self.lag_s * (self.gain_k * duty * mains**2 - loss)
        self.boards_c.append(self.board_c)
        return {"board": self.board_c, "sensor": self.board_c}


def small_plan(**changes):
    doc = {
        "plan": 1, "name": "small", "id": "5ca1ab1e", "law": "setpoint", "tick_ms": 250,
        "t_ms": [0, 60_000, 90_000, 120_000], "y_mc": [25_000, 150_000, 180_000, 60_000],
        "u": [], "b_mc": [], "gains": [[0, 26_000, 400, 0, 17, 0]],
        "stages": [[0, "preheat"], [60_000, "soak"], [90_000, "ramp_down"]],
        "waits": [], "stretch_ms": 0,
        "limits": {"sensor_max_mc": 260_000, "board_max_mc": 260_000, "run_max_ms": 600_000,
                   "rise_max_mk_s": 4_000},
        "deviation": [],
        "start": {"sensor_min_mc": 0, "sensor_max_mc": 60_000, "rest_min_s": 0},
        "door_cue_ms": 90_000, "host_lost": "stop",
    }  # fmt: skip
    return plan.write(doc | changes)


def rig(oven=None, **changes):
    plant = PluginPlant("small", oven or SmallOven())
    plant.reset(25.0)
    return Rig(plant, Sensor(), **changes)


def recorded(one_rig, data):
    lines = []
    controller = loop.run(one_rig, data, lines.append)
    return controller, lines


def of_kind(lines, kind):
    return [line for line in lines if line[0] == kind]


def started(one_rig, data=None):
    """A controller whose run has just begun, and the list its lines go to."""
    lines = []
    controller = SimulatedController(one_rig, lines.append)
    assert controller.arm(controller.put(data or small_plan())) is None
    assert controller.start() is None
    while not of_kind(lines, "s"):
        controller.tick()
    return controller, lines


def to_the_end(controller, at_most=5_000):
    for _ in range(at_most):
        if controller.is_over:
            return
        controller.tick()
    raise AssertionError("the run does not end")


def test_a_run_ends_at_rest_and_its_lines_are_the_records():
    controller, lines = recorded(rig(), small_plan())
    samples = of_kind(lines, "s")
    assert controller.machine.trip == 0
    assert [line[NOW] for line in samples] == list(range(0, 250 * len(samples), 250))
    assert {len(line) for line in samples} == {3 + 15 + 9}
    assert all(type(value) is int for line in lines for value in line[1:])
    assert [line[1] for line in lines] == list(range(1, len(lines) + 1))
    codes_seen = [line[3] for line in of_kind(lines, "e")]
    assert codes_seen[0] == codes.EVENT_ARM
    assert codes_seen.count(codes.EVENT_STAGE) == 3
    assert max(line[SENSOR] for line in samples) == pytest.approx(180_000, abs=15_000)
    assert samples[-1][DUTY] == samples[-1][RELAY] == 0


@pytest.mark.parametrize("seed", [0, 1, 7])
def test_the_same_seed_gives_the_same_lines(seed):
    def lines():
        mains, sensor = seeds.draw_surroundings(seed)
        one = rig(mains=mains)
        one.sensor = sensor
        return recorded(one, small_plan())[1]

    assert lines() == lines()


def test_another_seed_gives_other_lines():
    def sensors(seed):
        one = rig()
        one.sensor = seeds.draw_surroundings(seed)[1]
        return [line[SENSOR] for line in of_kind(recorded(one, small_plan())[1], "s")]

    assert sensors(1) != sensors(2)


def test_a_person_opens_the_door_some_seconds_after_the_cue():
    oven = SmallOven()
    _, lines = recorded(rig(oven, door_after_s=4.0), small_plan())
    samples = of_kind(lines, "s")
    cued = next(line[NOW] for line in samples if line[CUE])
    opened = next(line[NOW] for line in samples if line[DOOR])
    assert cued == 90_000
    assert 4_000 <= opened - cued <= 5_250
    assert oven.doors[-1] == 1.0
    assert codes.EVENT_DOOR in [line[3] for line in of_kind(lines, "e")]


def test_with_nobody_there_the_door_stays_shut():
    oven = SmallOven()
    recorded(rig(oven, door_after_s=None), small_plan())
    assert set(oven.doors) == {0.0}


def test_a_stop_turns_the_heat_off_within_the_tick_and_records_the_cooling():
    controller, lines = started(rig())
    for _ in range(120):
        controller.tick()
    assert of_kind(lines, "s")[-1][DUTY] > 0
    before = len(of_kind(lines, "s"))
    assert controller.stop() is None
    to_the_end(controller)
    assert [line[3] for line in of_kind(lines, "e")].count(codes.EVENT_STOP) == 1
    after = of_kind(lines, "s")[before:]
    assert len(after) > 4
    assert {(line[DUTY], line[RELAY]) for line in after} == {(0, 0)}


def test_marks_are_counted_and_taken_back():
    controller, lines = started(rig())
    assert controller.mark() is None
    assert controller.unmark() is None
    assert controller.unmark() == ("no_mark", "there is no mark to take back")
    controller.tick()
    seen = [line[3] for line in of_kind(lines, "e")]
    assert seen[-2:] == [codes.EVENT_MARK, codes.EVENT_UNMARK]


def test_nothing_starts_that_was_not_armed_and_a_hot_start_is_refused():
    lines = []
    controller = SimulatedController(rig(), lines.append)
    assert controller.start()[0] == "not_armed"
    assert controller.arm("00000000")[0] == "no_plan"
    warm = small_plan(start={"sensor_min_mc": 0, "sensor_max_mc": 20_000, "rest_min_s": 0})
    assert controller.arm(controller.put(warm))[0] == "too_hot"
    with pytest.raises(ValueError, match="too_hot"):
        loop.run(rig(), warm, lines.append)
    assert lines == []


def test_arming_counts_down_before_any_heat():
    oven = SmallOven()
    controller, lines = started(rig(oven))
    assert controller.now_ms - COUNTDOWN_MS >= 250
    assert oven.board_c == pytest.approx(25.0, abs=0.1)
    assert of_kind(lines, "e")[0][3:] == [codes.EVENT_ARM, BY_HOST, COUNTDOWN_MS]


@pytest.mark.parametrize(
    ("fault", "trip"),
    [
        ({"status": inputs.OPEN}, inputs.OPEN),
        ({"status": inputs.SHORT_TO_GROUND}, inputs.SHORT_TO_GROUND),
        ({"stale": True}, codes.SENSOR_STALE),
    ],
)
def test_a_sensor_fault_trips_and_no_heat_follows(fault, trip):
    one = rig()
    controller, lines = started(one)
    for _ in range(80):
        controller.tick()
    for name, value in fault.items():
        setattr(one.sensor, name, value)
    to_the_end(controller)
    assert controller.machine.trip == trip
    event = next(line for line in of_kind(lines, "e") if line[3] == trip)
    after = [line for line in of_kind(lines, "s") if line[NOW] > event[NOW]]
    assert after
    assert {(line[DUTY], line[RELAY]) for line in after} == {(0, 0)}
    times = [line[NOW] for line in of_kind(lines, "s")]
    assert times == sorted(set(times))


def test_a_welded_relay_heats_on_after_the_trip_and_the_record_shows_it():
    one = rig(SmallOven(gain_k=900.0))
    controller, lines = started(one)
    one.actuator.ssr_stuck = 1.0
    one.actuator.relay_stuck = 1
    to_the_end(controller)
    assert controller.machine.trip != 0
    assert max(line[SENSOR] for line in of_kind(lines, "s")) > 400_000


def test_the_mains_reach_the_plant():
    weak = recorded(rig(mains=Mains(level=0.9)), small_plan())[1]
    strong = recorded(rig(mains=Mains(level=1.1)), small_plan())[1]
    assert sum(line[DUTY] for line in of_kind(weak, "s")) > 1.2 * sum(
        line[DUTY] for line in of_kind(strong, "s")
    )


def test_truth_is_the_plants_and_missing_where_the_plant_has_none():
    oven = SmallOven()
    _, lines = recorded(rig(oven), small_plan())
    truth = of_kind(lines, "t")
    # the last tick finds the controller at rest: it is of no run any more
    told = oven.boards_c[-1 - len(truth) : -1]
    assert [line[3] for line in truth] == [round(board_c * 1000) for board_c in told]
    assert {tuple(line[4:]) for line in truth} == {(inputs.NONE,) * 3}
