"""The pieces of a run: outcome from events, the live line, pacing, orders, passing on."""

import signal

import pytest

from heatcore import codes
from heatcore.inputs import NONE
from heatcore.plan import WAITS_WIDTH
from heatcore.plan import read as read_plan
from heatsim.loop import Rig
from heatsim.plant import Plant
from heatsim.sensor import Sensor
from heatwright import sentences
from heatwright.documents import load_source
from heatwright.judging.verdict import Verdict
from heatwright.planning.nominal import plan_without_source
from heatwright.planning.open_loop import measuring_plan
from heatwright.planning.wanted import Wanted
from heatwright.records.lines import SAMPLE_FIELDS
from heatwright.records.reader import read
from heatwright.records.writer import RecordWriter
from heatwright.running import session
from heatwright.running.execute import Report
from heatwright.running.orders import Keyboard
from heatwright.running.outcome import UNIT_OF, UNITS, outcome_of, trip_line, trip_of
from heatwright.running.progress import Progress, live_line
from heatwright.running.simulated import SimulatedTarget
from heatwright.running.target import Refused, Target
from heatwright.running.time_left import TimeLeft, time_left
from records_made import GOOD, corners, paste, write


def record_with(folder, *events):
    path = write(folder / "record.txt", corners(GOOD)[1], placing="on_board")
    with open(path, "ab") as file:
        from heatcore import line

        for seq, (code, seen, expected) in enumerate(events):
            file.write(line.encode(["e", 90_000 + seq, 400_000 + seq, code, seen, expected]))
    return read(path)


@pytest.mark.parametrize(
    ("events", "outcome"),
    [
        ([], "finished"),
        ([codes.EVENT_STAGE, codes.EVENT_DOOR, codes.EVENT_MARK], "finished"),
        ([codes.EVENT_STOP], "stopped"),
        ([codes.EVENT_NOT_MELTED], "ended_unmelted"),
        ([codes.EVENT_NOT_MELTED, codes.EVENT_MARK], "finished"),
        ([codes.EVENT_NOT_MELTED, codes.EVENT_STOP], "stopped"),
        ([codes.EVENT_STOP, codes.SENSOR_STALE], "tripped"),
        ([codes.POWER_LOST], "tripped"),
    ],
)
def test_the_outcome_is_told_from_the_events(tmp_path, events, outcome):
    assert outcome_of(record_with(tmp_path, *((code, 0, 0) for code in events))) == outcome


def test_a_trip_carries_what_was_seen_and_what_was_expected(tmp_path):
    record = record_with(tmp_path, (codes.OVER_TEMPERATURE, 301_000, 300_000))
    trip = trip_of(record)
    assert (trip.code, trip.at_s) == ("over_temperature", 400.0)
    assert (trip.seen, trip.expected) == (301.0, 300.0)
    assert "over temperature; seen 301 °C, limit 300 °C" in trip_line(trip)


def test_a_trip_of_time_is_told_in_seconds(tmp_path):
    trip = trip_of(record_with(tmp_path, (codes.RUN_TOO_LONG, 600_250, 600_000)))
    assert (trip.seen, trip.expected) == (600.25, 600.0)
    assert "600 s" in trip_line(trip)


def test_every_unit_belongs_to_trips_that_exist():
    every = [code for those in UNITS.values() for code in those]
    assert len(every) == len(set(every)) == len(UNIT_OF)
    assert set(every) <= set(codes.TRIP_NAMES)


def test_a_trip_of_a_status_keeps_its_number(tmp_path):
    trip = trip_of(record_with(tmp_path, (1, 1, 0)))
    assert (trip.code, trip.seen, trip.expected) == ("sensor_open", 1, 0)
    # a person is told what it means
    told = trip_line(trip)
    assert "sensor open. " in told
    assert "limit" not in told


@pytest.mark.parametrize(
    ("outcome", "trip", "interrupted", "status", "exit_code"),
    [
        ("finished", None, False, "pass", 0),
        ("finished", None, False, "likely_pass", 0),
        ("finished", None, False, "warn", 0),
        ("finished", None, False, "fail", 3),
        ("finished", None, False, "unknown", 3),
        ("ended_unmelted", None, False, "unknown", 3),
        ("stopped", None, False, "fail", 6),
        ("stopped", None, True, "fail", 130),
        ("tripped", "trip", False, "fail", 5),
        ("tripped", "trip", True, "fail", 5),
    ],
)
def test_exit_codes_trip_before_stop_before_verdict(outcome, trip, interrupted, status, exit_code):
    verdict = Verdict(status, "", (), (), paste(), None)
    assert Report(outcome, verdict, trip, None, None, interrupted).exit_code == exit_code


def sample(**values):
    return dict.fromkeys(SAMPLE_FIELDS, 0) | {"y_mc": NONE, "sensor_mc": NONE} | values


def live(one):
    left = TimeLeft(450_000)
    left.see(one)
    return live_line(one, left)


def test_the_live_line_says_stage_target_sensor_power_and_time_left():
    text = live(sample(now_ms=95_250, stage=2, y_mc=205_400, sensor_mc=203_900, duty=7_940))
    assert " ".join(text.split()) == (
        "1:35 ramp up target 205 °C sensor 204 °C power 79 % 5:54 left"
    )
    assert "target -" in live(sample(now_ms=500_000))
    assert "0:00 left" in live(sample(now_ms=500_000))


def test_time_left_goes_on_where_the_plan_waits():
    """A measuring run waits for a reading most of the time: its end moves with it."""
    shown = []
    progress = Progress(shown.append, shown.append, TimeLeft(300_000), 60_000)
    for now_ms in range(0, 421_000, 250):
        note = codes.NOTE_WAIT_ABOVE if 0 < now_ms <= 240_000 else 0
        progress(["s", *sample(now_ms=now_ms, note=note).values()])
    left = [line.split()[-2] for line in shown if line.endswith("left")]
    assert left == ["5:00"] * 5 + ["4:00", "3:00", "2:00"]


def seconds(clock):
    minutes, rest = clock.split(":")
    return 60 * int(minutes) + int(rest)


def test_in_a_measuring_run_the_longest_time_left_runs_on_while_it_waits():
    """Its heats end by readings: the run ends between what its clock leaves and the longest."""
    made = read_plan(measuring_plan(load_source("toaster").plant_params()))
    left, said = time_left(made), []
    for now_ms in range(0, 900_000, 250):
        left.see(sample(now_ms=now_ms, note=codes.NOTE_WAIT_ABOVE if 0 < now_ms <= 120_000 else 0))
        said.append(str(left).split(" to "))
    waiting, first = said[480], said[0]
    assert first == ["7:05", "17:50"]
    assert waiting[0] == first[0]
    assert seconds(first[1]) - seconds(waiting[1]) == 120
    # past the last heat the plan's clock alone is left
    last_ms = made.waits[-WAITS_WIDTH] + 120_000
    assert len(said[last_ms // 250]) == 2
    assert len(said[last_ms // 250 + 4]) == 1


def test_sparse_lines_come_a_minute_apart_and_events_at_once():
    shown, told = [], []
    progress = Progress(shown.append, told.append, TimeLeft(300_000), 60_000)
    for now_ms in range(0, 180_000, 250):
        progress(["s", *sample(now_ms=now_ms).values()])
    progress(["e", 1, 180_000, codes.EVENT_STAGE, 1, 0])
    progress(["e", 2, 180_000, codes.EVENT_STOP, 0, 0])
    progress(["e", 3, 181_000, codes.SENSOR_STALE, 1_250, 1_000])
    progress(["t", 4, 181_000, 0, 0, 0, 0])
    assert len(shown) == 3
    assert [line.split("  ", 1)[1] for line in told] == [
        "Stopped: heat is off.",
        "Stopped for safety: sensor stale. Heat is off.",
    ]


def test_the_person_is_told_once_to_open_the_door_and_what_is_waited_for():
    told = []
    progress = Progress(lambda line: None, told.append, TimeLeft(300_000), 60_000)
    seen = [(0, 0), (0, codes.NOTE_WAIT_MARK), (0, codes.NOTE_WAIT_MARK), (0, 0), (1, 0), (1, 0)]
    for tick, (cue, note) in enumerate(seen):
        progress(["s", *sample(now_ms=tick * 250, door_cue=cue, note=note).values()])
    assert len(told) == 2
    assert "m and Enter" in told[0]
    assert told[1].startswith("0:01  Open the door now")


def test_nobody_is_told_to_open_a_door_that_stands_open():
    told = []
    progress = Progress(lambda line: None, told.append, TimeLeft(300_000), 60_000)
    note = codes.NOTE_DOOR_LEFT_OPEN
    for tick, (cue, door) in enumerate([(0, 1), (1, 1), (1, 0)]):
        line = sample(now_ms=tick * 250, door_cue=cue, door=door, note=note)
        progress(["s", *line.values()])
    assert told == ["0:00  " + sentences.RUN_NOTES["door_left_open"]]


class Clock:
    def __init__(self):
        self.now_s = 0.0

    def sleep(self, seconds):
        self.now_s += seconds


def target(speed=None):
    clock = Clock()
    plant = Plant(load_source("drawer").plant_params())
    made = SimulatedTarget(Rig(plant, Sensor()), speed, lambda: clock.now_s, clock.sleep)
    return made, clock


def plan():
    from heatwright.documents import load_profile

    return plan_without_source(Wanted(paste(), load_profile("sac305"))).plan


def armed(speed=None):
    made, clock = target(speed)
    follows: Target = made
    session.arm(follows, plan(), read_plan(plan()).id)
    return made, clock


@pytest.mark.parametrize(("speed", "wall_s"), [(1.0, 82.5), (4.0, 20.6), (None, 0.0)])
def test_speed_is_kept_on_the_walls_clock(speed, wall_s):
    made, clock = armed(speed)
    made.ask("start")
    for line in made.lines():
        if line[0] == "s" and line[2] == 55_000:
            break
    # 22.5 s of proof and 5 s of countdown before the run's own clock begins
    assert clock.now_s == pytest.approx(wall_s, abs=0.5)


def test_a_plan_that_is_none_is_refused_in_words():
    made, _ = target()
    with pytest.raises(Refused, match="checksum"):
        made.put(b"{}\n00000000")
    with pytest.raises(Refused, match="arm a plan first"):
        made.ask("start")


class Orders:
    """What a person asks for: one verb after so many lines."""

    def __init__(self, after, *verbs):
        self.left, self.verbs = after, list(verbs)

    def waiting(self):
        self.left -= 1
        return [self.verbs.pop(0)] if self.left < 0 and self.verbs else []


def test_orders_reach_the_controller_and_a_refused_one_is_told(tmp_path):
    made, _ = armed()
    told = []
    with RecordWriter(tmp_path / "record.txt", {}) as writer:
        orders = Orders(400, "unmark", "mark", "stop")
        session.record(made, writer, lambda line: None, orders, told.append)
    events = [event.code for event in read(tmp_path / "record.txt").events]
    assert [code for code in events if code in (101, 102, 105)] == [101, 105]
    assert len(told) == 1
    assert "no mark to take back" in told[0]


def test_closing_the_target_half_way_stops_it():
    made, _ = armed()
    made.ask("start")
    for line in made.lines():
        if line[0] == "s" and line[2] >= 30_000:
            break
    made.close()
    rest = [line for line in made.lines() if line[0] == "s"]
    assert {line[1 + SAMPLE_FIELDS.index("duty")] for line in rest} <= {0}


def test_signals_leave_a_note_and_are_put_back():
    before = signal.getsignal(signal.SIGINT)
    told = []
    with Keyboard(told.append, "stopping") as keyboard:
        signal.raise_signal(signal.SIGTERM)
        assert list(keyboard.waiting()) == ["stop"]
        assert not keyboard.interrupted
        signal.raise_signal(signal.SIGINT)
        assert list(keyboard.waiting()) == ["stop"]
        assert list(keyboard.waiting()) == []
        assert keyboard.interrupted
        with pytest.raises(KeyboardInterrupt):
            signal.raise_signal(signal.SIGINT)
    assert told == ["stopping", "stopping"]
    assert signal.getsignal(signal.SIGINT) is before
