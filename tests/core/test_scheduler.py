from core.plans import document, make
from heatcore import codes, inputs
from heatcore.scheduler import Scheduler


class Bench:
    def __init__(self, **changes):
        self.schedule = Scheduler(make(document(**changes)))
        self.inputs = inputs.Inputs()
        self.schedule.begin(self.inputs)
        self.mc = 25_000

    def go(self, seconds):
        for _ in range(seconds * 4):
            self.schedule.advance(250, self.inputs, self.mc)
        return self.schedule.plan_ms


def test_the_clock_runs_and_ends():
    bench = Bench(waits=[])
    assert bench.go(100) == 100_000
    assert not bench.schedule.is_finished()
    assert bench.go(300) == 260_000
    assert bench.schedule.is_finished()


def test_stages_follow_the_clock():
    bench = Bench(waits=[])
    seen = []
    for _ in range(260):
        bench.go(1)
        if bench.schedule.stage not in seen:
            seen.append(bench.schedule.stage)
    assert seen == [0, 1, 2, 3, 4]


def test_it_waits_for_a_press_made_while_it_waits():
    bench = Bench()
    bench.inputs.press = 1
    assert bench.go(70) == 60_000
    assert bench.schedule.waiting
    assert bench.schedule.hold_duty() == 2_500
    assert bench.schedule.wait_note() == codes.NOTE_WAIT_PRESS
    bench.inputs.press = 2
    bench.go(1)
    assert not bench.schedule.waiting
    assert bench.schedule.wait_note() == 0
    assert bench.go(10) == 70_750
    assert bench.schedule.outcome == 0


def test_no_press_in_time_ends_the_heating():
    bench = Bench()
    bench.go(60 + 29)
    assert bench.schedule.outcome == 0
    bench.go(2)
    assert bench.schedule.outcome == codes.NOTE_NOT_CONFIRMED
    assert bench.schedule.stage == codes.RAMP_DOWN
    bench.go(100)
    assert bench.schedule.is_finished()


def marked(**changes):
    return Bench(waits=[[160_000, "mark", 0, 40_000, 7_900]], **changes)


def test_a_mark_made_early_counts():
    bench = marked()
    bench.go(150)
    bench.inputs.mark = 1
    assert bench.go(20) == 169_750


def test_a_mark_that_was_withdrawn_does_not():
    bench = marked()
    bench.go(100)
    bench.inputs.mark = 1
    bench.go(10)
    bench.inputs.mark = 0
    assert bench.go(70) == 160_000
    bench.inputs.mark = 1
    assert bench.go(2) == 161_750


def test_one_mark_serves_one_wait():
    bench = Bench(waits=[[1_000, "mark", 0, 9_000, 0], [2_000, "mark", 0, 9_000, 0]])
    bench.inputs.mark = 1
    assert bench.go(5) == 2_000
    assert bench.schedule.waiting
    bench.inputs.mark = 2
    assert bench.go(5) > 2_000


def test_marks_from_before_the_run_do_not_count():
    schedule = Scheduler(make(document(waits=[[0, "mark", 0, 9_000, 0]])))
    given = inputs.Inputs()
    given.mark = 3
    schedule.begin(given)
    for _ in range(8):
        schedule.advance(250, given, 25_000)
    assert schedule.waiting


def test_no_mark_in_time_is_not_melted():
    bench = marked()
    bench.go(160 + 42)
    assert bench.schedule.outcome == codes.NOTE_NOT_MELTED
    assert 180_000 <= bench.schedule.plan_ms < 183_000


def test_after_giving_up_no_later_wait_is_made():
    waits = [[1_000, "press", 0, 1_000, 0], [200_000, "press", 0, 30_000, 0]]
    bench = Bench(waits=waits)
    bench.go(90)
    assert bench.schedule.is_finished()


def test_a_sensor_that_is_there_already_costs_no_tick():
    waits = [[10_100, "above", 100_000, 30_000, 9_000], [20_100, "above", 100_000, 30_000, 9_000]]
    bench = Bench(waits=waits)
    bench.mc = 100_000
    assert bench.go(15) == 15_000
    assert not bench.schedule.waiting
    bench.mc = 99_999
    assert bench.go(15) == 20_100
    assert bench.schedule.waiting
    bench.mc = 100_000
    assert bench.go(1) == 20_850


def test_the_stretch_is_shared_by_all_waits():
    bench = Bench(
        waits=[[10_000, "above", 200_000, 30_000, 0], [20_000, "above", 200_000, 30_000, 0]],
        stretch_ms=40_000,
    )
    bench.go(10 + 31)
    assert bench.schedule.plan_ms > 10_000
    bench.go(9 + 12)
    assert bench.schedule.plan_ms > 20_000


def test_above_goes_on_when_reached_and_when_not():
    for mc, seconds in ((150_000, 1), (149_999, 20)):
        bench = Bench(waits=[[60_000, "above", 150_000, 20_000, 5_000]])
        bench.go(61)
        assert bench.schedule.waiting
        bench.mc = mc
        bench.go(seconds)
        assert not bench.schedule.waiting
        assert bench.schedule.outcome == 0


def test_a_wait_at_the_very_end_is_kept():
    bench = Bench(waits=[[260_000, "press", 0, 30_000, 0]])
    bench.go(262)
    assert bench.schedule.waiting
    assert not bench.schedule.is_finished()
    bench.inputs.press = 1
    bench.go(1)
    assert bench.schedule.is_finished()


def test_a_plan_without_ramp_down_gives_up_to_its_end():
    bench = Bench(stages=[[0, "preheat"]], waits=[[1_000, "press", 0, 1_000, 0]])
    bench.go(5)
    assert bench.schedule.is_finished()


def test_the_horizon_is_the_next_wait_or_the_end():
    bench = Bench()
    assert bench.schedule.horizon_ms() == 60_000
    assert Bench(waits=[]).schedule.horizon_ms() == 260_000
