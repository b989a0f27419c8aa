"""The second run on a controller that had a first one, and trips after trips."""

from workbench import TICK_MS, Bench, Outputs, document

from heatcontroller import on_demand
from heatcontroller.proof import RELAY_MS
from heatcontroller.states import (
    ARMED,
    BY_BUTTON,
    COOLING,
    COOLING_BLIND_MS,
    COOLING_MAX_MS,
    IDLE,
    LATELY_HOT_MS,
    TRIPPED,
)
from heatcore import codes
from heatcore.limits import RISE_OFF_MK

REST_S = 300


def bench(**changes):
    return Bench(doc=document(**changes))


def cold(found):
    """Cooled to the room, at rest, and rested enough to be armed."""
    while found.inputs.sensor_mc > 22_000:
        found.cool(1)
    found.now_ms += REST_S * 1000
    found.tick()
    return found


def stopped(found, after_s=20):
    """Heated for so long and stopped."""
    found.begin().follow_plan(after_s)
    found.machine.stop(found.now_ms)
    found.tick()
    assert found.machine.state == COOLING
    return found


def blind(found, ms):
    for _ in range(ms // TICK_MS):
        found.tick(sensor_status=1)
    return found


def test_slow_cooling_is_judged_anew_in_each_run():
    found = cold(stopped(bench()))
    assert found.machine.state == IDLE
    stopped(found, 40)
    level_mc = found.inputs.sensor_mc
    for _ in range(COOLING_MAX_MS // TICK_MS - 8):
        found.tick(sensor_mc=level_mc)
    assert found.machine.state == COOLING
    found.tick(16)
    assert found.machine.trip == codes.NOT_PROVEN_OFF


def test_a_loose_contact_is_borne_anew_in_each_run():
    found = blind(stopped(bench()), COOLING_BLIND_MS + 1_000)
    assert found.machine.state == TRIPPED
    cold(found)
    assert found.machine.clear(found.now_ms, BY_BUTTON) is None
    blind(stopped(found), COOLING_BLIND_MS // 2)
    assert found.machine.state == COOLING


def test_rest_and_proof_count_from_the_last_heat():
    # twenty seconds of the plan want none, and then the run goes on in cooling
    found = bench(u=[6_000, 0, 0], y_mc=[22_000, 22_000, 22_000], t_ms=[0, 1_000, 80_000]).begin()
    while found.machine.command.duty:
        found.tick()
    heated_ms = found.now_ms
    found.tick(40)
    assert not found.machine.command.duty
    found.machine.stop(found.now_ms)
    found.tick(4)
    assert found.machine.state == IDLE
    found.now_ms = heated_ms + REST_S * 1000
    assert found.arm() is None


def test_an_idle_line_shows_no_stage():
    found = bench().begin()
    found.follow_plan(70)
    assert found.machine.command.stage == codes.RAMP_DOWN
    cold(found)
    assert (found.machine.state, found.machine.command.stage) == (IDLE, 0)


def test_a_countdown_that_was_stopped_is_over():
    found = bench()
    assert found.arm() is None
    found.machine.start(found.now_ms)
    found.tick(4)
    assert found.machine.countdown_ms > 0
    found.machine.stop(found.now_ms)
    assert (found.machine.state, found.machine.countdown_ms) == (IDLE, 0)


def with_relay_closed():
    """In the proof at arming, in its first half."""
    found = bench()
    outputs = found.outputs = found.machine.outputs = Outputs()
    outputs.has_two = True
    found.arm()
    found.machine.start(found.now_ms)
    while not outputs.relay:
        found.tick()
    return found


def stays_open(found):
    assert found.outputs.is_off
    assert found.machine.command.relay == 0
    found.tick(40)
    return found.outputs.is_off


def test_a_weld_found_with_the_relay_closed_opens_it():
    found = with_relay_closed()
    found.tick((RELAY_MS[1] - RELAY_MS[0]) // TICK_MS, current_ma=4_000)
    assert found.machine.trip == codes.OUTPUT_WELDED
    assert stays_open(found)


def test_a_stop_with_the_relay_closed_opens_it():
    found = with_relay_closed()
    found.machine.stop(found.now_ms)
    found.tick()
    assert found.machine.state == IDLE
    assert stays_open(found)


def test_what_rose_before_a_trip_counts_after_it():
    found = stopped(bench())
    lowest_mc = found.inputs.sensor_mc
    found.tick(4, sensor_mc=lowest_mc + RISE_OFF_MK - 1_000)
    blind(found, COOLING_BLIND_MS + 1_000)
    assert (found.machine.state, found.machine.is_hot) == (TRIPPED, False)
    found.tick(12, sensor_mc=lowest_mc + RISE_OFF_MK + 2_000)
    assert found.machine.is_hot


def test_a_second_trip_rings_as_the_first_did():
    found = bench()
    found.tick(12, sensor_mc=found.inputs.sensor_mc + RISE_OFF_MK + 5_000)
    assert found.machine.is_hot
    found.machine.acknowledge()
    cold(found)
    assert found.machine.clear(found.now_ms, BY_BUTTON) is None
    found.begin().follow_plan(20)
    found.tick(12, sensor_status=1)
    assert (found.machine.state, found.machine.is_hot) == (TRIPPED, False)
    found.tick(12, sensor_mc=found.inputs.sensor_mc + 2 * RISE_OFF_MK)
    assert found.machine.is_hot
    assert found.machine.command.note == codes.NOTE_PULL_PLUG


def test_room_is_made_before_a_plan_is_fetched():
    made = []
    plain, found = on_demand.make_room, bench()
    on_demand.make_room = lambda: made.append(found.machine.state)
    try:
        assert found.arm() is None
    finally:
        on_demand.make_room = plain
    assert made == [IDLE]
    assert found.machine.state == ARMED


def test_how_long_a_source_counts_as_lately_used():
    found = stopped(bench())
    machine = found.machine
    last_heat_ms = machine._hot_ms
    assert last_heat_ms > 0
    for after_ms, lately in ((0, True), (LATELY_HOT_MS - 1, True), (LATELY_HOT_MS, False)):
        assert machine._is_lately_hot(last_heat_ms + after_ms) is lately
