"""What holds while no run goes on, the proof at arming, the alarm, and somebody being there."""

from workbench import PLAN_ID, TICK_MS, Bench, Outputs, document

from heatcontroller.proof import PROOF_MS, RELAY_MS, SSR_MS, OutputProof
from heatcontroller.rest_watch import SETTLING_MS, WARM_MC, WARM_RISE_MK, RestWatch
from heatcontroller.states import (
    ARMED,
    BY_DOOR,
    BY_HOST,
    COOLING,
    COOLING_MAX_MS,
    COOLING_STEP_MK,
    COUNTDOWN_MS,
    IDLE,
    RUNNING,
    TRIPPED,
)
from heatcore import codes
from heatcore.inputs import NONE, Inputs
from heatcore.limits import RISE_OFF_LOOSE_MK, RISE_OFF_MK, SENSOR_MAX_MC


def watched(mc_at, ticks, is_idle=True, door=0, watch=None, rise_mk=None):
    """The code that comes first, and after how many ticks of 250 ms."""
    watch = watch or RestWatch()
    if rise_mk is not None:
        watch.begin(rise_mk)
    given = Inputs()
    given.door = door
    for tick in range(ticks):
        given.sensor_mc = mc_at(tick)
        code = watch.judge(tick * 250, given, is_idle)
        if code:
            return code, tick
    return 0, None


def step(low_mc, high_mc):
    return lambda tick: low_mc if tick < 10 else high_mc


# --- at rest ---


def test_a_rise_beyond_the_limit_in_idle_and_cooling():
    for is_idle in (True, False):
        assert watched(step(25_000, 25_000 + RISE_OFF_MK), 40, is_idle) == (0, None)
        assert watched(step(25_000, 25_150 + RISE_OFF_MK), 40, is_idle) == (
            codes.UNEXPLAINED_RISE,
            12,
        )


def test_a_source_used_lately_warms_a_cold_board():
    watch = RestWatch()
    watch.source_is_warm = True
    assert watched(step(25_000, 25_000 + RISE_OFF_LOOSE_MK), 40, watch=watch) == (0, None)
    watch = RestWatch()
    watch.source_is_warm = True
    code, _ = watched(step(25_000, 25_150 + RISE_OFF_LOOSE_MK), 40, watch=watch)
    assert code == codes.UNEXPLAINED_RISE
    # grown cold since, it has its narrow limit again
    watch = RestWatch()
    watch.source_is_warm = True
    watched(step(25_000, 25_000), 20, watch=watch)
    watch.source_is_warm = False
    assert watched(step(25_000, 25_150 + RISE_OFF_MK), 40, watch=watch)[0] != 0


def test_a_warm_source_in_idle_may_only_cool():
    high = WARM_MC + 5_000
    assert watched(step(high, high + WARM_RISE_MK), 40) == (0, None)
    assert watched(step(high, high + WARM_RISE_MK + 150), 40)[0] == codes.UNEXPLAINED_RISE
    # in cooling a source may still coast, and without a switch it may be the door
    assert watched(step(high, high + WARM_RISE_MK + 150), 40, is_idle=False) == (0, None)
    assert watched(step(high, high + WARM_RISE_MK + 150), 40, door=NONE) == (0, None)
    assert watched(step(high, high + RISE_OFF_MK + 150), 40, door=NONE)[0] != 0
    assert watched(step(WARM_MC - 3_200, WARM_MC), 40) == (0, None)


def test_a_day_that_warms_the_workshop_is_no_fault():
    assert watched(lambda tick: 15_000 + tick * 4, 6_000) == (0, None)
    code, tick = watched(lambda tick: 15_000 + tick * 20, 6_000)
    assert code == codes.UNEXPLAINED_RISE
    assert 600 <= tick <= 700


def test_the_rise_counts_from_the_lowest_reading():
    falling = [200_000 - 500 * tick for tick in range(100)]
    assert watched(lambda tick: falling[tick] if tick < 100 else 161_000, 140, False)[0] != 0
    assert watched(lambda tick: falling[tick] if tick < 100 else 160_000, 140, False)[0] == 0


def test_after_a_door_that_moved_the_walls_may_warm_the_air():
    watch = RestWatch()
    watch.door_moved(0)
    assert watched(step(100_000, 100_000 + RISE_OFF_LOOSE_MK), 40, watch=watch) == (0, None)
    watch = RestWatch()
    watch.door_moved(0)
    assert watched(step(100_000, 100_150 + RISE_OFF_LOOSE_MK), 40, watch=watch)[0] != 0
    watch = RestWatch()
    watch.door_moved(250 * 12 - SETTLING_MS)
    assert watched(step(100_000, 110_150), 13, False, watch=watch) == (0, None)
    watch = RestWatch()
    watch.door_moved(-SETTLING_MS)
    assert watched(step(100_000, 110_150), 40, False, watch=watch)[0] != 0


def test_a_coast_that_the_model_allows():
    assert watched(step(150_000, 168_000), 40, False, rise_mk=18_000) == (0, None)
    assert watched(step(150_000, 168_200), 40, False, rise_mk=18_000)[0] != 0
    # warm and cooling it is not, in idle neither, and once cold in idle it is spent
    for mc, is_idle, code in (
        (WARM_MC, False, 0),
        (WARM_MC + 1, True, 0),
        (WARM_MC, True, codes.UNEXPLAINED_RISE),
    ):
        watch = RestWatch()
        watch.begin(18_000)
        watched(lambda tick, mc=mc: mc, 10, is_idle, NONE, watch)
        assert watched(step(mc, mc + 15_000), 40, is_idle, NONE, watch)[0] == code
    watch = RestWatch()
    assert watched(lambda tick: 40_000, 10, True, rise_mk=18_000, watch=watch) == (0, None)
    assert watched(step(40_000, 50_200), 40, True, watch=watch)[0] == codes.UNEXPLAINED_RISE


def test_both_bounds_to_the_last_millikelvin_and_millisecond():
    for rise_mk, code in ((RISE_OFF_MK, 0), (RISE_OFF_MK + 1, codes.UNEXPLAINED_RISE)):
        watch, given = RestWatch(), Inputs()
        given.sensor_mc = 30_000
        watch.judge(0, given, False)
        given.sensor_mc = 30_000 + rise_mk
        # at one and the same moment nothing creeps; a later one has borne it for long enough
        watch.judge(0, given, False)
        given.sensor_mc += 4
        assert watch.judge(251, given, False) == 0
        given.sensor_mc += 5
        assert watch.judge(551, given, False) == code
    for late_ms, code in ((0, 0), (1, codes.UNEXPLAINED_RISE)):
        watch, given = RestWatch(), Inputs()
        watch.door_moved(0)
        given.sensor_mc = 30_000
        watch.judge(SETTLING_MS - 1_000, given, False)
        given.sensor_mc = 45_000
        assert watch.judge(SETTLING_MS + late_ms, given, False) == code


def test_over_temperature_in_any_state():
    assert watched(lambda tick: SENSOR_MAX_MC, 40) == (0, None)
    assert watched(lambda tick: SENSOR_MAX_MC + 1, 40) == (codes.OVER_TEMPERATURE, 3)
    watch = RestWatch()
    watched(lambda tick: 301_000, 5, watch=watch)
    assert (watch.seen, watch.expected) == (301_000, SENSOR_MAX_MC)


def test_without_a_reading_nothing_is_said_and_nothing_forgotten():
    watch = RestWatch()
    watched(lambda tick: 30_000, 5, watch=watch)
    assert watched(lambda tick: NONE, 5, watch=watch) == (0, None)
    assert watched(lambda tick: 45_000, 9, watch=watch)[0] == codes.UNEXPLAINED_RISE
    # less what a workshop's day is allowed in these ticks
    assert 15_000 - 20 <= watch.seen <= 15_000
    assert watch.expected == RISE_OFF_MK


def test_a_clock_that_leaps_forgives_nothing():
    watch, given = RestWatch(), Inputs()
    given.sensor_mc = 30_000
    watch.judge(0, given, True)
    given.sensor_mc = 41_500
    told = [watch.judge(now_ms, given, True) for now_ms in (250, 500, -90_000, -89_750, -89_500)]
    assert told == [0, 0, 0, codes.UNEXPLAINED_RISE, codes.UNEXPLAINED_RISE]
    watch, given = RestWatch(), Inputs()
    given.sensor_mc = 30_000
    watch.judge(0, given, True)
    given.sensor_mc = 55_000
    assert watch.judge(900_000_000, given, True) == codes.UNEXPLAINED_RISE


# --- in the state machine ---


def bench():
    return Bench(doc=document())


def test_idle_trips_and_the_alarm_sounds_until_somebody_answers():
    found = bench()
    found.tick(4)
    found.tick(3, sensor_mc=40_000, press=0)
    machine = found.machine
    assert (machine.state, machine.trip) == (TRIPPED, codes.UNEXPLAINED_RISE)
    assert machine.command.note == codes.NOTE_PULL_PLUG
    assert machine.is_hot
    found.tick(press=1)
    assert machine.command.note == 0
    assert machine.state == TRIPPED
    assert machine.is_hot
    found.tick(press=2)
    assert machine.state == IDLE


def test_a_trip_that_heats_on_rings_the_alarm_and_keeps_its_name():
    found = bench().begin()
    found.follow_plan(20)
    found.tick(12, sensor_status=1)
    assert found.machine.trip == 1
    assert found.machine.command.note != codes.NOTE_PULL_PLUG
    assert not found.machine.is_hot
    hot_mc = found.inputs.sensor_mc + 12_000
    found.tick(4, sensor_status=0, sensor_mc=hot_mc)
    assert found.machine.trip == 1
    assert found.machine.command.note == codes.NOTE_PULL_PLUG
    assert found.events[-1][1] == codes.UNEXPLAINED_RISE
    count = len(found.events)
    found.tick(8)
    assert len(found.events) == count


def test_nobody_acknowledges_what_does_not_ring():
    found = bench()
    assert not found.machine.acknowledge()
    found.begin()
    assert not found.machine.acknowledge()


def test_cooling_allows_the_coast_and_no_more():
    for door, allowed_mk in ((0, RISE_OFF_MK), (NONE, RISE_OFF_LOOSE_MK)):
        for extra_mk, state in ((0, COOLING), (300, TRIPPED)):
            found = bench().begin()
            found.inputs.door = door
            found.follow_plan(30)
            found.machine.stop(found.now_ms)
            mc = found.inputs.sensor_mc
            found.tick()
            found.tick(6, sensor_mc=mc + allowed_mk + extra_mk)
            assert found.machine.state == state


def test_a_plain_trip_does_not_ring():
    found = bench().begin()
    found.tick(12, sensor_status=1)
    assert found.machine.command.note != codes.NOTE_PULL_PLUG


# --- the proof ---


class TwoOutputs(Outputs):
    has_two = True

    def __init__(self):
        super().__init__()
        self.closed = []

    def apply(self, now_ms, command):
        super().apply(now_ms, command)
        self.closed.append((command.relay, self.ssr_alone, command.duty))
        self.ssr_alone = 0


def proving():
    found = bench()
    found.outputs = found.machine.outputs = TwoOutputs()
    assert found.arm() is None
    assert found.machine.start(found.now_ms) is None
    return found


def test_a_stop_during_the_proof_opens_its_output_at_once():
    found = proving()
    found.tick(RELAY_MS[0] // 250)
    assert found.outputs.relay == 1
    found.machine.stop(found.now_ms)
    assert found.outputs.is_off
    assert found.events[-1] == (0, codes.EVENT_STOP, BY_HOST, 0)
    assert found.machine.state == IDLE


def test_each_output_is_closed_alone_for_less_than_a_second():
    found = proving()
    found.tick((PROOF_MS + COUNTDOWN_MS) // 250 - 1)
    closed = found.outputs.closed
    assert closed.count((1, 0, 0)) * 250 == RELAY_MS[1] - RELAY_MS[0]
    assert closed.count((0, 1, 0)) * 250 == SSR_MS[1] - SSR_MS[0]
    assert closed.count((0, 0, 0)) == len(closed) - 6
    assert closed.index((0, 1, 0)) - closed.index((1, 0, 0)) == 6
    assert found.machine.state == ARMED


def test_a_run_begins_after_proof_and_countdown():
    found = proving()
    found.tick(PROOF_MS // 250)
    assert found.machine.is_live
    assert found.machine.countdown_ms == COUNTDOWN_MS
    found.tick()
    assert not found.machine.is_live
    found.tick(COUNTDOWN_MS // 250 - 2)
    assert found.machine.state == ARMED
    found.tick()
    assert found.machine.state == RUNNING
    assert found.machine.is_live


def test_a_rise_or_a_current_meanwhile_is_a_weld():
    for rise_mk, state in ((3_000, ARMED), (3_001, TRIPPED)):
        found = proving()
        found.tick(8)
        found.tick(4, sensor_mc=found.inputs.sensor_mc + rise_mk)
        assert found.machine.state == state
    assert found.machine.trip == codes.OUTPUT_WELDED
    assert (found.machine.trip_seen, found.machine.trip_expected) == (3_001, 3_000)
    assert found.outputs.is_off
    found = proving()
    found.tick(3, current_ma=4_000)
    assert (found.machine.trip, found.machine.trip_seen) == (codes.OUTPUT_WELDED, 4_000)


def test_a_lost_reading_is_no_rise():
    found = proving()
    found.tick(6, sensor_mc=NONE, sensor_status=1)
    assert found.machine.state == ARMED


def test_a_proof_says_what_it_saw():
    proof, given = OutputProof(), Inputs()
    proof.begin(0, 30_000)
    given.sensor_mc = 31_000
    assert proof.holds(given)
    assert (proof.seen, proof.expected) == (1_000, 3_000)
    given.current_ma = 5_000
    proof.holds(given)
    assert (proof.seen, proof.expected) == (5_000, 0)
    given.current_ma, given.sensor_mc = NONE, NONE
    proof.holds(given)
    assert (proof.seen, proof.expected) == (0, 3_000)


def lately_used(hours=0):
    """Armed again with the outputs to be proved, so long after a run."""
    found = Bench(doc=document(start={**document()["start"], "rest_min_s": 0})).begin()
    found.follow_plan(40)
    found.machine.stop(found.now_ms)
    while found.inputs.sensor_mc > 28_000:
        found.cool(1)
    found.tick(1 + hours * 3600 * 4, sensor_mc=28_000)
    assert found.machine.state == IDLE
    found.outputs = found.machine.outputs = TwoOutputs()
    assert found.arm() is None
    return found


def test_a_board_that_warms_in_a_source_used_lately_proves_no_weld():
    found = lately_used()
    found.tick(40, sensor_mc=28_000 + 20_000)
    assert found.machine.state == ARMED
    found.tick(4, sensor_mc=28_000 + RISE_OFF_LOOSE_MK + 150)
    assert found.machine.trip == codes.UNEXPLAINED_RISE
    found = lately_used(hours=1)
    found.tick(4, sensor_mc=28_000 + 3_150)
    assert found.machine.trip == codes.OUTPUT_WELDED


def test_how_long_it_has_not_cooled_counts_anew_after_a_run():
    """What idle saw of a warm source before a long run is no measure of the cooling after it."""
    long_ms = COOLING_MAX_MS + 100_000
    limits = {**document()["limits"], "run_max_ms": 3_000_000}
    start = {"sensor_min_mc": 5_000, "sensor_max_mc": 80_000, "rest_min_s": 0}
    doc = document(
        t_ms=[0, long_ms, long_ms + 20_000],
        y_mc=[70_000, 200_000, 150_000],
        b_mc=[70_000, 190_000, 150_000],
        stages=[[0, "preheat"], [long_ms, "ramp_down"]],
        door_cue_ms=long_ms,
        limits=limits,
        start=start,
    )
    found = Bench(doc=doc, sensor_mc=70_000)
    found.tick(8)
    found.begin()
    found.follow_plan(COOLING_MAX_MS // 1000 + 10)
    assert found.machine.state == RUNNING
    found.machine.stop(found.now_ms)
    found.cool(3)
    assert (found.machine.state, found.machine.trip) == (COOLING, 0)


def test_with_one_output_there_is_nothing_to_prove():
    found = bench()
    found.arm()
    found.machine.start(found.now_ms)
    found.tick()
    assert not found.machine.is_live
    found.tick(COUNTDOWN_MS // 250 - 1)
    assert found.machine.state == RUNNING


# --- somebody is there ---


def asking(answer):
    """A run with the question at 80 C, its last moment at 40 s: the notes, and how it went on."""
    waits = [[40_000, "press", 80_000, 5_000, 5_000]]
    found = Bench(doc=document(waits=waits)).begin()
    notes = []
    for _ in range(50 * 4):
        # as the drivers do, every field is written anew
        wanted_mc = max(22_000, found.machine.command.y_mc)
        found.tick(press=NONE, sensor_mc=min(wanted_mc, found.inputs.sensor_mc + 1_200))
        notes.append(found.machine.command.note)
        answer(found)
    return found, notes


def test_nobody_there_means_no_reflow():
    _, notes = asking(lambda found: None)
    assert codes.NOTE_WAIT_PRESS in notes
    assert codes.NOTE_NOT_CONFIRMED in notes
    assert 18 <= notes.index(codes.NOTE_WAIT_PRESS) / 4 <= 25
    assert 44 <= notes.index(codes.NOTE_NOT_CONFIRMED) / 4 <= 46


def test_an_answer_at_the_cue_costs_no_time():
    def answer(found):
        if found.machine.command.note == codes.NOTE_WAIT_PRESS:
            assert found.machine.start(found.now_ms) is None

    _, notes = asking(answer)
    assert notes.count(codes.NOTE_WAIT_PRESS) == 1
    assert codes.NOTE_NOT_CONFIRMED not in notes


def test_a_press_before_the_question_is_no_answer():
    def answer(found):
        if found.machine.run_ms == 5_000:
            found.machine.start(found.now_ms)

    _, notes = asking(answer)
    assert codes.NOTE_NOT_CONFIRMED in notes


# --- the door ---


def test_a_door_left_open_ends_the_run_as_a_stop():
    found = bench().begin()
    found.follow_plan(10)
    found.tick(44, door=1)
    assert (found.events[-1][1:3]) == (codes.EVENT_STOP, BY_DOOR)
    assert found.machine.trip == 0
    assert found.machine.state in (COOLING, IDLE)
    assert BY_HOST != BY_DOOR
    assert PLAN_ID


def idle_at(mc, ticks, found=None):
    found = found or Bench(doc=document(), sensor_mc=mc)
    for _ in range(ticks):
        found.tick(sensor_mc=mc)
    return found


def test_a_source_in_idle_that_is_held_warm_calls_for_help():
    whole = COOLING_MAX_MS // TICK_MS
    found = idle_at(WARM_MC + 1, whole - 8)
    assert found.machine.state == IDLE
    found.tick(16)
    assert (found.machine.state, found.machine.trip) == (TRIPPED, codes.NOT_PROVEN_OFF)
    assert found.machine.command.note == codes.NOTE_PULL_PLUG
    # cool enough it may stay as it is, and what goes on cooling has its time anew
    assert idle_at(WARM_MC, whole + 8).machine.state == IDLE
    found = idle_at(100_000, whole - 8)
    found = idle_at(100_000 - COOLING_STEP_MK, whole - 8, found)
    assert found.machine.state == IDLE
    assert idle_at(100_000 - COOLING_STEP_MK, 16, found).machine.trip == codes.NOT_PROVEN_OFF
    # a spell below the mark begins anew
    found = idle_at(WARM_MC, 1, idle_at(WARM_MC + 1, whole - 8))
    assert idle_at(WARM_MC + 1, whole - 8, found).machine.state == IDLE


def test_a_weld_behind_a_door_just_opened_is_not_at_rest_for_good():
    found = bench().begin()
    found.follow_plan(30)
    found.machine.stop(found.now_ms)
    level_mc = found.inputs.sensor_mc - 30_000
    while found.machine.state == COOLING:
        found.tick(sensor_mc=max(found.inputs.sensor_mc - 1_000, level_mc))
    assert found.machine.state == IDLE
    assert found.machine.proven_off
    assert idle_at(level_mc, COOLING_MAX_MS // TICK_MS, found).machine.trip == codes.NOT_PROVEN_OFF
