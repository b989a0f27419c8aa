"""What one run leaves to the next: nothing. And what the state machine tells: the truth."""

from workbench import PLAN_ID, TICK_MS, Bench, Files, Outputs, document

from heatcontroller.config import Config
from heatcontroller.states import (
    ARMED,
    BY_BUTTON,
    COOLING,
    COUNTDOWN_MS,
    CURRENT_OFF_MS,
    IDLE,
    RESETS_MAX,
    RUNNING,
    SILENCE_MAX_MS,
    TRIPPED,
    UPTIME_MASK,
    StateMachine,
)
from heatcontroller.store import Store
from heatcore import codes
from heatcore.inputs import NONE
from heatcore.limits import RISE_OFF_LOOSE_MK, RISE_OFF_MK
from heatcore.plan import BOARD_MAX, RISE_MAX


def bench(**changes):
    return Bench(doc=document(**changes))


def rested(found):
    """After a run that was marked and stopped half-way, at rest again and rested enough."""
    found.begin().follow_plan(20)
    found.machine.mark(found.now_ms)
    found.machine.start(found.now_ms)
    found.tick(press=NONE)
    found.machine.stop(found.now_ms)
    while found.inputs.sensor_mc > 22_000:
        found.cool(1)
    assert found.machine.state == IDLE
    found.now_ms += 400_000
    found.tick()
    return found


def test_the_first_act_is_off():
    outputs = Outputs()
    outputs.duty, outputs.relay = 5_000, 1
    StateMachine(Config(), outputs, Store(Files()), print)
    assert outputs.is_off


def test_three_resets_in_a_row_are_told_with_what_is_borne():
    files = Files()
    for _ in range(RESETS_MAX):
        Store(files).count_boot(True)
    found = Bench(files)
    assert found.machine.trip == codes.WATCHDOG_RESETS
    assert (found.machine.trip_seen, found.machine.trip_expected) == (3, 2)


def test_the_time_of_a_line():
    found = bench()
    machine = found.machine
    assert machine.line_ms(UPTIME_MASK + 5) == 4
    found.arm()
    assert machine.line_ms(found.now_ms) == 0
    machine.stop(found.now_ms)
    found.begin()
    found.tick(7)
    assert machine.line_ms(found.now_ms) == 7 * TICK_MS
    began_ms = found.now_ms - machine.run_ms
    found.tick(12, sensor_status=1)
    assert machine.state == TRIPPED
    assert machine.line_ms(found.now_ms) == found.now_ms - began_ms
    fresh = bench()
    fresh.tick(6, current_ma=9_000)
    assert fresh.machine.state == TRIPPED
    assert fresh.machine.line_ms(fresh.now_ms) == fresh.now_ms


def test_after_a_run_a_line_tells_uptime_again():
    found = rested(bench())
    found.tick(6, current_ma=9_000)
    assert found.machine.state == TRIPPED
    assert found.machine.line_ms(found.now_ms) == found.now_ms & UPTIME_MASK


def test_presses_of_host_and_button_add_up():
    found = bench().begin()
    for raw, told in ((NONE, 1), (5, 6)):
        found.machine._presses = 0
        found.machine.start(found.now_ms)
        found.tick(press=raw)
        assert found.inputs.press == told
    found.machine.start(found.now_ms)
    found.tick(press=5)
    assert found.inputs.press == 7


def test_how_long_the_host_has_been_silent():
    found = bench()
    assert found.inputs.host_age_ms == NONE
    found.machine.lease(found.now_ms)
    found.tick(4)
    assert found.inputs.host_age_ms == 4 * TICK_MS
    found.now_ms += 2 * SILENCE_MAX_MS
    found.tick()
    assert found.inputs.host_age_ms == SILENCE_MAX_MS


def test_current_is_no_fault_while_the_heater_is_on():
    found = bench().begin()
    found.tick(12, current_ma=5_000)
    assert found.machine.state == RUNNING


def test_current_while_off_for_a_whole_second():
    ticks = CURRENT_OFF_MS // TICK_MS
    for count, state in ((ticks, IDLE), (ticks + 1, TRIPPED)):
        found = bench()
        found.tick(count, current_ma=5_000)
        assert found.machine.state == state
    found = bench()
    for _ in range(5):
        found.tick(ticks, current_ma=5_000)
        found.tick(current_ma=0)
    assert found.machine.state == IDLE


def test_a_refused_plan_is_not_kept():
    found = Bench(doc=document(), sensor_mc=70_000)
    assert found.arm()[0] == "too_hot"
    assert found.machine.plan is None


def test_the_next_run_begins_with_nothing():
    found = rested(bench())
    machine = found.machine
    assert machine.plan is None
    assert machine._loop is None
    assert (machine.countdown_ms, machine.command.stage, machine.command.note) == (0, 0, 0)
    assert (machine.command.fan, machine.command.door_cue) == (0, 0)
    assert found.arm() is None
    assert (machine.run_ms, machine.plan_id, machine.countdown_ms) == (0, PLAN_ID, COUNTDOWN_MS)
    found.tick(100, press=NONE)
    # nobody has started it, and nobody had marked or pressed
    assert machine.state == ARMED
    assert found.inputs.mark == 0
    machine.start(found.now_ms)
    found.tick(COUNTDOWN_MS // TICK_MS + 1, press=NONE)
    assert machine.state == RUNNING
    assert found.inputs.press == NONE
    assert found.events[-1][1:] == (codes.EVENT_STAGE, 0, NONE)
    assert machine.command.note == 0


def test_a_configuration_tightens_board_and_rise():
    config = Config({"outputs": "ssr", "board_max_mc": 240_000, "rise_max_mk_s": 4_000})
    found = Bench(doc=document(), config=config)
    found.arm()
    limits = found.machine.plan.limits
    assert (limits[BOARD_MAX], limits[RISE_MAX]) == (240_000, 4_000)


def test_a_heated_source_is_not_proven_off_however_cold():
    found = bench()
    assert found.machine.proven_off
    found.begin()
    assert found.outputs.duty > 0
    assert not found.machine.proven_off


def test_no_mark_in_time_is_told_once():
    found = bench(waits=[[20_000, "mark", 0, 5_000, 4_000]]).begin()
    found.follow_plan(40)
    assert found.codes().count(codes.EVENT_NOT_MELTED) == 1
    assert found.codes().count(codes.EVENT_STOP) == 0


def test_a_stop_is_off_before_the_next_tick():
    found = bench().begin()
    found.follow_plan(20)
    assert not found.outputs.is_off
    found.machine.stop(found.now_ms)
    assert found.outputs.is_off
    command = found.machine.command
    assert (command.stage, command.note) == (codes.RAMP_DOWN, codes.NOTE_STOPPED)
    stopped_ms = found.machine.run_ms
    found.cool(10)
    assert found.machine.run_ms == stopped_ms + 10_000


def test_an_hour_of_cooling_counts_from_its_beginning():
    found = Bench(doc=document(), now_ms=50_000_000).begin()
    found.follow_plan(20)
    found.machine.stop(found.now_ms)
    found.tick(8)
    assert found.machine.state == COOLING


def test_the_limit_itself_is_not_too_hot_in_cooling():
    found = bench().begin()
    found.follow_plan(58)
    found.machine.stop(found.now_ms)
    found.machine.plan.limits[0] = found.inputs.sensor_mc
    found.tick(3)
    assert found.machine.state == COOLING
    found.tick(sensor_mc=found.inputs.sensor_mc + 1)
    assert found.machine.trip == codes.HOT_AFTER_OFF


def cooling(doc, door):
    found = Bench(doc=doc)
    found.tick(260, door=door)
    assert (found.arm() or found.machine.start(found.now_ms)) is None
    for _ in range(COUNTDOWN_MS // 1000 + 25):
        found.machine.lease(found.now_ms)
        found.follow_plan(1)
    assert found.machine.state == RUNNING
    found.machine.stop(found.now_ms)
    found.tick()
    return found


def risen(found, mk):
    found.tick(5, sensor_mc=found.inputs.sensor_mc + mk)
    return found.machine.state == TRIPPED


def test_what_a_source_may_coast():
    assert not risen(cooling(document(), NONE), RISE_OFF_LOOSE_MK)
    assert risen(cooling(document(), NONE), RISE_OFF_LOOSE_MK + 300)
    assert not risen(cooling(document(), 0), RISE_OFF_MK)
    assert risen(cooling(document(), 0), RISE_OFF_MK + 300)


def test_coming_to_rest_forgets_no_reading():
    found = cooling(document(), 0)
    found.cool(62)
    assert found.machine.state == IDLE
    assert risen(found, 3_500)


def test_a_door_that_moves_in_cooling_gives_a_minute_of_grace():
    found = cooling(document(), 0)
    found.tick(door=1)
    assert not risen(found, 25_000)


def test_a_trip_keeps_its_stage_and_a_weld_found_at_arming_leaves_no_relay():
    found = bench().begin()
    found.follow_plan(10)
    found.tick(12, sensor_status=1)
    assert found.machine.command.stage == 0
    assert found.machine.command.relay == 0
    found = bench()
    found.outputs.has_two = True
    found.arm()
    found.tick(3, current_ma=4_000)
    assert found.machine.trip == codes.OUTPUT_WELDED
    assert found.machine.command.relay == 0
    assert found.machine.command.stage == 0


def test_marks_are_told_with_the_runs_time():
    found = bench().begin()
    found.tick(8)
    found.machine.mark(found.now_ms)
    assert found.events[-1][0] == 8 * TICK_MS
    found.tick(4)
    found.machine.unmark(found.now_ms)
    assert found.events[-1][0] == 12 * TICK_MS


def test_a_cleared_trip_is_forgotten():
    found = bench()
    found.tick(3, sensor_mc=45_000)
    assert found.machine.is_hot
    found.machine.acknowledge()
    assert found.machine.clear(found.now_ms, BY_BUTTON) is None
    machine = found.machine
    assert (machine.trip, machine.trip_seen, machine.trip_expected) == (0, 0, 0)
    assert (machine.command.trip, machine.command.note) == (0, 0)
    found.tick(12, sensor_status=1)
    assert found.machine.state == IDLE


def test_service_is_off_and_silent():
    found = bench().begin()
    found.follow_plan(10)
    found.machine.serve()
    assert found.outputs.is_off
    assert found.machine.command.duty == found.machine.command.relay == 0
    assert found.tick() == 5
