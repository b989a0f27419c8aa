from core.plans import document, make
from heatcore import codes, inputs
from heatcore.interlock import Interlock
from heatcore.limits import (
    JUNCTION_HIGH_MC,
    JUNCTION_LOW_MC,
    LEASE_MS,
    RUN_MAX_MS,
    SENSOR_MAX_MC,
    WATCHDOG_MS,
)
from heatcore.numbers import Ratio
from heatcore.patience import Patience
from heatcore.reading import Reading
from heatcore.scene import Scene
from heatcore.watch import Watch


class Bench:
    """An interlock that is told one thing after another, 250 ms apart."""

    def __init__(self, deviation=(), **limits):
        doc = document(deviation=list(deviation))
        doc["limits"].update(limits)
        self.plan = make(doc)
        self.interlock = Interlock(self.plan, Ratio())
        self.reading = Reading()
        self.scene = Scene()
        # readings leap here, as they may after a door and under some heat
        self.scene.quiet = True
        self.scene.duty = 1_000
        self.inputs = inputs.Inputs()
        self.now_ms = 0
        self.tell()

    def tell(self, step_ms=250, running=True, **changes):
        given = self.inputs
        given.sensor_mc, given.sensor_status, given.sensor_age_ms = 100_000, inputs.OK, 0
        given.sensor_seq += 1
        for name in changes:
            setattr(given, name, changes[name])
        self.now_ms += step_ms
        self.reading.take(max(step_ms, 0), given)
        self.scene.running = running
        self.interlock.judge(self.now_ms, step_ms, self.reading, given, self.scene)
        return self.interlock.trip

    def ticks_to_trip(self, **changes):
        for tick in range(1, 100):
            if self.tell(**changes):
                return tick
        return 0

    def said(self):
        return (self.interlock.trip, self.interlock.seen, self.interlock.expected)


def test_a_quiet_run_never_trips():
    bench = Bench()
    for _ in range(1_000):
        bench.tell()
    assert bench.said() == (0, 0, 0)


def test_one_bad_sample_ruins_no_board():
    bench = Bench()
    for _ in range(100):
        assert bench.tell(sensor_status=inputs.OPEN) == 0
        for _ in range(4):
            assert bench.tell() == 0


def test_a_fault_that_stays_trips_after_two_seconds():
    bench = Bench()
    assert bench.ticks_to_trip(sensor_status=inputs.OPEN) == 9
    assert bench.said() == (inputs.OPEN, inputs.OPEN, inputs.OK)


def test_a_loose_contact_trips_too():
    bench = Bench()
    trips = [bench.tell(sensor_status=inputs.OPEN * (i % 2)) for i in range(40)]
    assert trips[-1] == inputs.OPEN


def test_a_sequence_that_stands_still_trips():
    bench = Bench()
    assert bench.ticks_to_trip(sensor_seq=bench.inputs.sensor_seq) == 9
    assert bench.said() == (codes.SENSOR_STALE, 8 * 250, LEASE_MS)


def test_too_hot_for_three_samples_trips_and_for_two_does_not():
    bench = Bench(sensor_max_mc=SENSOR_MAX_MC)
    assert [bench.tell(sensor_mc=SENSOR_MAX_MC + 1) for _ in range(2)] == [0, 0]
    for _ in range(8):
        assert bench.tell(sensor_mc=SENSOR_MAX_MC) == 0
    assert bench.ticks_to_trip(sensor_mc=SENSOR_MAX_MC + 1) == 3
    assert bench.said() == (codes.OVER_TEMPERATURE, SENSOR_MAX_MC + 1, SENSOR_MAX_MC)


def test_the_plans_ceiling():
    bench = Bench(sensor_max_mc=270_000)
    assert bench.ticks_to_trip(sensor_mc=270_000) == 0
    assert bench.ticks_to_trip(sensor_mc=270_001) == 3
    assert bench.said() == (codes.OVER_PLAN_CEILING, 270_001, 270_000)


def test_a_ceiling_tightened_before_the_run_counts():
    plan = make(document())
    plan.limits[0] = 250_000
    bench = Bench()
    bench.interlock = Interlock(plan, Ratio())
    assert bench.ticks_to_trip(sensor_mc=250_001) == 3


def test_silence_while_too_hot_is_no_comfort():
    bench = Bench()
    bench.tell(sensor_mc=299_000)
    assert bench.ticks_to_trip(sensor_status=inputs.OPEN) == 2
    assert bench.interlock.trip == codes.OVER_PLAN_CEILING


def test_the_board_where_a_bead_is_on_it():
    bench = Bench(board_max_mc=250_000)
    assert bench.ticks_to_trip(second_status=inputs.OK, second_mc=250_000) == 0
    assert bench.ticks_to_trip(second_status=inputs.OPEN, second_mc=400_000) == 0
    assert bench.ticks_to_trip(second_status=inputs.OK, second_mc=250_001) == 3
    assert bench.said() == (codes.BOARD_TOO_HOT, 250_001, 250_000)


def test_run_time():
    bench = Bench(run_max_ms=400_000)
    bench.now_ms = 400_000 - 250
    assert bench.tell() == 0
    assert bench.tell(running=False) == 0
    assert bench.tell() == codes.RUN_TOO_LONG
    assert bench.said() == (codes.RUN_TOO_LONG, 400_500, 400_000)


def test_a_plan_cannot_loosen_the_run_time():
    plan = make(document())
    plan.limits[2] = RUN_MAX_MS + 1_000
    bench = Bench()
    bench.interlock = Interlock(plan, Ratio())
    bench.now_ms = RUN_MAX_MS
    assert bench.tell() == codes.RUN_TOO_LONG


def test_late_ticks_and_clocks_that_go_back():
    assert Bench().tell(step_ms=LEASE_MS) == 0
    assert Bench().tell(step_ms=0) == 0
    for step_ms, trip in (
        (LEASE_MS + 1, codes.TICK_LEASE),
        (WATCHDOG_MS, codes.TICK_LEASE),
        (WATCHDOG_MS + 1, codes.CLOCK_JUMP),
        (-1, codes.CLOCK_JUMP),
    ):
        bench = Bench()
        bench.now_ms = 5_000
        assert bench.tell(step_ms=step_ms) == trip
        assert bench.said() == (trip, step_ms, LEASE_MS)


def test_a_changed_plan_is_noticed_within_a_round():
    for table in range(6):
        bench = Bench()
        bench.plan.tables[table][1] ^= 1 << 13
        assert 0 < bench.ticks_to_trip() <= 20
        assert bench.interlock.trip == codes.PLAN_CORRUPT


def test_words_that_changed_places_are_noticed():
    plan = make(document())
    watch = Watch(plan.tables)
    plan.u[1], plan.u[2] = plan.u[2], plan.u[1]
    assert not all(watch.is_sound() for _ in range(20))


def test_the_first_trip_stays():
    bench = Bench()
    bench.ticks_to_trip(sensor_status=inputs.OPEN)
    first = bench.said()
    for _ in range(20):
        bench.tell(sensor_mc=400_000, step_ms=2_000)
    assert bench.said() == first


def test_every_rule_is_judged_after_a_trip_too():
    bench = Bench()
    bench.ticks_to_trip(sensor_status=inputs.OPEN)
    bench.tell(sensor_mc=299_000)
    assert bench.interlock._ceiling.holds(False, 500) is False


def test_patience_forgives_slowly():
    patience = Patience(500)
    assert patience.holds(False, 500)
    assert patience.holds(True, 1_000)
    assert patience.holds(False, 250)
    assert not patience.holds(False, 1)


def test_the_junctions_bound_that_was_passed_is_told():
    for mc, bound in ((85_000, JUNCTION_HIGH_MC), (-15_000, JUNCTION_LOW_MC)):
        bench = Bench()
        assert bench.ticks_to_trip(cold_junction_mc=mc) == 9
        assert bench.said() == (codes.COLD_JUNCTION_RANGE, mc, bound)


def test_the_residual_begins_anew_after_whatever_it_knows_nothing_of():
    rows = [[0, 65_536, 0, 0, 0, 16, 1_000_000, 1_000_000, 1_000_000]]
    for unknown in ("fault", "quiet", "waiting", "y_mc"):
        bench = Bench(deviation=rows)
        bench.scene.quiet, bench.scene.y_mc = False, 100_000
        for tick in range(40):
            bench.tell(sensor_mc=100_000 + 10 * tick)
        assert bench.interlock.residual.push_mk > 100
        if unknown == "fault":
            bench.tell(sensor_status=inputs.OPEN)
        else:
            setattr(bench.scene, unknown, inputs.NONE if unknown == "y_mc" else True)
            bench.tell()
        assert bench.interlock.residual.push_mk == 0
        before = bench.interlock.residual._ticks
        bench.tell(sensor_status=inputs.OPEN)
        assert before == bench.interlock.residual._ticks == 0
