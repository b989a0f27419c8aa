from core.oven import Oven, drive
from core.plans import document, make, open_loop, plain
from heatcore import codes, inputs
from heatcore.limits import DUTY_MAX, HOST_LEASE_MS, LEASE_MS
from heatcore.loop import ControlLoop


class Run:
    """A run on the small oven; each(run, now_ms) may change what the core is told next."""

    def __init__(self, doc, each=None, seconds=600):
        self.loop = ControlLoop(make(doc))
        self.oven = Oven()
        self.commands = []
        self._each = each or (lambda run, now_ms: None)
        self.ended_ms = drive(self.loop, self.oven, seconds * 1000, self._note)

    def _note(self, now_ms, command):
        kept = [now_ms, self.loop.plan_ms, self.oven.inputs.sensor_mc]
        kept += [command.duty, command.relay, command.y_mc, command.stage, command.note]
        self.commands.append(kept)
        self._each(self, now_ms)

    def at(self, seconds):
        return self.commands[seconds * 4]

    def last(self):
        return self.commands[-1]


DUTY, RELAY, Y, STAGE, NOTE = 3, 4, 5, 6, 7


def attend(run, now_ms):
    """A person who presses when asked and marks the melt 4 s after the wait for it began."""
    if run.last()[NOTE] == codes.NOTE_WAIT_PRESS:
        run.oven.inputs.press += 1
    if run.last()[NOTE] == codes.NOTE_WAIT_MARK and run.commands[-16][NOTE] == run.last()[NOTE]:
        run.oven.inputs.mark += 1


def test_a_whole_run_follows_its_trajectory():
    run = Run(document(), attend)
    assert run.last()[NOTE] == codes.NOTE_FINISHED
    assert 264_000 <= run.ended_ms <= 266_000
    soak = [row for row in run.commands if 100_000 < row[1] < 120_000]
    assert all(abs(row[2] - row[Y]) < 6_000 for row in soak)
    assert {row[STAGE] for row in run.commands} == {0, 1, 2, 3, 4}
    assert run.loop.saturations() == 0


def test_nothing_is_commanded_after_the_end():
    run = Run(document(waits=[]))
    command = run.loop.command
    for now_ms in range(run.ended_ms + 250, run.ended_ms + 60_000, 250):
        run.oven.heat(0)
        run.loop.tick(now_ms, run.oven.inputs)
        assert (command.duty, command.relay, command.fan, command.trip) == (0, 0, 0, 0)


def test_a_plain_profile_runs():
    run = Run(plain())
    assert run.last()[NOTE] == codes.NOTE_FINISHED
    assert max(row[2] for row in run.commands) > 200_000


def test_open_loop_gives_the_plans_duty_only():
    run = Run(open_loop())
    assert run.at(30)[DUTY] == 5_500
    assert run.at(30)[Y] == inputs.NONE
    assert run.last()[NOTE] == codes.NOTE_FINISHED


def test_no_mark_ends_the_heating_but_not_the_run():
    run = Run(document(waits=[[160_000, "mark", 0, 10_000, 7_900]]))
    assert run.last()[NOTE] == codes.NOTE_NOT_MELTED
    cooling = [row for row in run.commands if row[NOTE] == codes.NOTE_NOT_MELTED]
    assert len(cooling) > 300
    assert all((row[DUTY], row[RELAY], row[STAGE]) == (0, 0, codes.RAMP_DOWN) for row in cooling)


def test_the_door_cue_comes_with_the_plans_clock():
    cues = {}
    run = Run(document(waits=[]), lambda run, now: cues.update({now: run.loop.command.door_cue}))
    assert (cues[179_750], cues[180_000], cues[run.ended_ms]) == (0, 1, 0)


def open_wide(run, now_ms):
    if run.last()[STAGE] == codes.RAMP_DOWN:
        run.oven.rise_mk = max(run.oven.rise_mk - 1_000, 0)


def test_nothing_heats_against_an_open_door():
    plan = document(waits=[], u=[6_000, 5_000, 4_300, 8_500, 0, 0])
    for doc in (plan, plain()):
        cooling = [row for row in Run(doc, open_wide).commands if row[STAGE] == codes.RAMP_DOWN]
        assert min(row[2] - row[Y] for row in cooling) < -20_000
        assert all(row[DUTY] == 0 for row in cooling)


def test_the_first_tick_heats_only_on_a_good_reading():
    loop = ControlLoop(make(document()))
    assert loop.tick(0, inputs.Inputs()).duty == 0
    assert loop.tick(250, Oven().inputs).duty > 0


def test_the_first_tick_may_come_late_and_a_late_one_after_it_trips():
    loop = ControlLoop(make(document()))
    oven = Oven()
    assert loop.tick(7_000, oven.inputs).trip == 0
    assert loop.plan_ms == 0
    oven.show()
    assert loop.tick(7_000 + LEASE_MS, oven.inputs).trip == 0
    oven.show()
    assert loop.tick(7_000 + 2 * LEASE_MS + 1, oven.inputs).trip == codes.TICK_LEASE
    assert (loop.trip_seen, loop.trip_expected) == (LEASE_MS + 1, LEASE_MS)


def test_a_clock_that_goes_back_or_is_absurd_trips():
    for now_ms in (999, -1, -(1 << 30), (1 << 30) - 1):
        loop = ControlLoop(make(document()))
        loop.tick(1_000, Oven().inputs)
        assert loop.tick(now_ms, Oven().inputs).trip == codes.CLOCK_JUMP
    loop = ControlLoop(make(document()))
    assert loop.tick(-1, Oven().inputs).trip == codes.CLOCK_JUMP


def lose_sensor(after_ms, status=inputs.OPEN, until_ms=1 << 29):
    def each(run, now_ms):
        run.oven.inputs.sensor_status = status if after_ms <= now_ms < until_ms else inputs.OK

    return each


def test_heat_goes_within_a_lease_of_the_last_good_reading_and_the_trip_follows():
    run = Run(document(waits=[]), lose_sensor(30_000))
    assert run.at(31)[DUTY] > 0
    assert all(row[DUTY] == 0 for row in run.commands if row[0] > 30_000 + LEASE_MS)
    tripped = min(row[0] for row in run.commands if row[RELAY] == 0)
    assert 32_000 <= tripped <= 32_500
    assert (run.loop.command.trip, run.loop.trip_seen, run.loop.trip_expected) == (1, 1, 0)


def fall_off(after_ms):
    """The bead drops into the room at 10 K/s."""

    def each(run, now_ms):
        if now_ms >= after_ms:
            run.oven.rise_mk = max(run.oven.rise_mk - 2_500, 0)

    return each


def test_a_wait_in_ramp_down_keeps_heating_and_so_keeps_its_rules():
    held = document(
        waits=[[190_000, "above", 270_000, 50_000, 3_000]],
        y_mc=[25_000, 150_000, 180_000, 245_000, 245_000, 245_000],
        u=[6_000, 5_000, 4_300, 8_500, 3_500, 4_400],
        door_cue_ms=200_000,
    )
    run = Run(held, fall_off(210_000))
    waiting = [row for row in run.commands if row[NOTE] == codes.NOTE_WAIT_ABOVE]
    assert {row[STAGE] for row in waiting} == {codes.RAMP_DOWN}
    assert any(row[DUTY] > 0 for row in waiting)
    assert run.loop.command.trip == codes.SENSOR_RATE
    tripped = min(row[0] for row in run.commands if row[RELAY] == 0)
    assert 210_000 < tripped <= 213_500


def test_after_a_short_silence_the_run_goes_on():
    run = Run(document(waits=[]), lose_sensor(30_000, until_ms=31_500))
    assert run.commands[126][NOTE] == codes.NOTE_NO_READING
    assert run.commands[126][DUTY] == 0
    assert run.at(33)[DUTY] > 0
    assert run.last()[NOTE] == codes.NOTE_FINISHED


def test_a_trip_is_silent_for_good():
    run = Run(document(waits=[]), lose_sensor(30_000, until_ms=40_000))
    late = [row for row in run.commands if row[0] > 40_000]
    assert late
    assert all((row[DUTY], row[RELAY]) == (0, 0) for row in late)
    assert run.loop.command.fan == 0
    assert run.loop.command.trip == inputs.OPEN


def test_stop_ends_it_at_once_and_for_good():
    def each(run, now_ms):
        run.oven.inputs.stop = 1 if now_ms == 20_000 else 0

    run = Run(document(waits=[]), each)
    assert run.ended_ms == 20_250
    assert (run.last()[DUTY], run.last()[RELAY], run.last()[NOTE]) == (0, 0, codes.NOTE_STOPPED)
    run.oven.show()
    assert run.loop.tick(20_500, run.oven.inputs).relay == 0


def host_silent_after(start_ms):
    def each(run, now_ms):
        run.oven.inputs.host_age_ms = max(0, now_ms - start_ms)

    return each


def test_host_loss_is_as_the_plan_says():
    kept = Run(document(waits=[]), host_silent_after(20_000))
    assert kept.last()[NOTE] == codes.NOTE_FINISHED
    ended = Run(document(waits=[], host_lost="stop"), host_silent_after(20_000))
    assert ended.last()[NOTE] == codes.NOTE_HOST_LOST
    assert 20_000 + HOST_LEASE_MS < ended.ended_ms <= 20_000 + HOST_LEASE_MS + 500


def test_no_host_at_all_is_no_host():
    def each(run, now_ms):
        run.oven.inputs.host_age_ms = inputs.NONE

    assert Run(plain(), each).last()[NOTE] == codes.NOTE_HOST_LOST


def test_duty_never_reaches_the_off_slot():
    run = Run(document(waits=[], u=[9_800] * 6, gains=[[0, 900_000, 0, 0, 10, 0]]))
    assert max(row[DUTY] for row in run.commands) == DUTY_MAX


def test_the_same_object_answers_each_tick():
    loop = ControlLoop(make(document()))
    oven = Oven()
    first = loop.tick(0, oven.inputs)
    oven.show()
    assert loop.tick(250, oven.inputs) is first


def test_stages_and_codes_have_names():
    assert codes.STAGES[codes.RAMP_DOWN] == "ramp_down"
    for code in range(1, 28):
        assert codes.TRIP_NAMES[code]
    assert max(codes.TRIP_NAMES) < min(codes.EVENT_NAMES)
    assert sorted(codes.NOTE_NAMES) == list(range(13))
    assert len(set(codes.EVENT_NAMES.values()) & set(codes.TRIP_NAMES.values())) == 0


def test_fields_are_what_the_objects_hold():
    from heatcore import command

    for made, fields in (
        (inputs.Inputs(), inputs.FIELDS),
        (command.Command(), command.FIELDS),
    ):
        assert sorted(vars_of(made)) == sorted(fields)


def vars_of(made):
    return [name for name in dir(made) if not name.startswith("__")]
