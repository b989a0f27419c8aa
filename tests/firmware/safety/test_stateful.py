"""A controller led through any sequence of readings, events, silence and clock faults.

What holds after every tick: heat only in `running`, and only while the last good reading is
younger than one lease; none after a trip until it is cleared; none above the ceiling.
"""

from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule
from workbench import PLAN_ID, TICK_MS, Bench, Outputs, document

from heatcontroller.states import ARMED, BY_BUTTON, BY_HOST, RUNNING, TRIPPED
from heatcore import inputs
from heatcore.limits import LEASE_MS, OVER_PATIENCE_MS
from heatcore.plan import SENSOR_MAX

CEILING_MC = 250_000


class TwoOutputs(Outputs):
    """SSR and safety relay, as the state machine drives them."""

    has_two = True

    def __init__(self):
        super().__init__()
        self.is_ssr_alone = False

    def apply(self, now_ms, command):
        super().apply(now_ms, command)
        self.is_ssr_alone, self.ssr_alone = self.ssr_alone > 0, 0

    def off(self):
        super().off()
        self.is_ssr_alone = False

    @property
    def heats(self):
        """Both closed: current can flow."""
        return self.relay and (self.duty > 0 or self.is_ssr_alone)


class Controller(RuleBasedStateMachine):
    def __init__(self):
        super().__init__()
        self.good_age_ms = 0
        self.over_ms = 0
        self.uncleared = False
        self.door = inputs.NONE
        self.bench = self.started(Bench(doc=document()))

    def started(self, bench):
        bench.machine.outputs = bench.outputs = TwoOutputs()
        return bench

    @initialize(seconds=st.integers(-5, 58))
    def begin(self, seconds):
        self.another(seconds)

    @rule(seconds=st.integers(0, 58))
    def another(self, seconds):
        """Another controller, so far into a run; before 0 one that is only armed."""
        self.bench = self.started(Bench(doc=document()))
        self.uncleared = False
        self.good_age_ms = self.over_ms = 0
        self.arm_and_start()
        for _ in range(120 if seconds >= 0 else 0):
            if self.machine.state == ARMED:
                self.tick()
        self.follow_the_plan(max(seconds, 0))

    @property
    def machine(self):
        return self.bench.machine

    def tick(self, mc=None, status=inputs.OK, stale=False, step_ms=TICK_MS):
        given = self.bench.inputs
        given.sensor_status = status
        given.sensor_mc = inputs.NONE if status else given.sensor_mc if mc is None else mc
        given.sensor_age_ms = 0
        given.press = inputs.NONE  # the drivers write every field anew
        given.sensor_seq += 0 if stale else 1
        self.note_reading(status == inputs.OK and not stale, given.sensor_mc, step_ms)
        self.bench.now_ms += step_ms
        self.machine.step(self.bench.now_ms, given)
        self.uncleared = self.uncleared or self.machine.state == TRIPPED
        self.holds()

    def note_reading(self, good, mc, step_ms):
        self.good_age_ms = 0 if good else self.good_age_ms + max(step_ms, 0)
        over = good and mc > CEILING_MC
        self.over_ms = self.over_ms + TICK_MS if over else 0

    @rule(count=st.integers(1, 40), slope=st.integers(-2_000, 1_500))
    def readings(self, count, slope):
        mc = self.bench.inputs.sensor_mc
        for _ in range(count):
            mc = min(max(22_000 if mc == inputs.NONE else mc + slope, -15_000), 320_000)
            self.tick(mc)

    @rule(seconds=st.integers(1, 40))
    def follow_the_plan(self, seconds):
        for _ in range(4 * seconds):
            wanted_mc = max(22_000, self.machine.command.y_mc)
            had_mc = self.bench.inputs.sensor_mc
            self.tick(min(wanted_mc, had_mc + 1_200) if had_mc != inputs.NONE else 22_000)

    @rule(mc=st.integers(-20_000, 500_000), count=st.integers(1, 12))
    def leap(self, mc, count):
        for _ in range(count):
            self.tick(mc)

    @rule(status=st.integers(1, 7), count=st.integers(1, 12))
    def fault(self, status, count):
        for _ in range(count):
            self.tick(status=status)

    @rule(count=st.integers(1, 12))
    def stale(self, count):
        for _ in range(count):
            self.tick(stale=True)

    @rule(step_ms=st.integers(-5_000, 5_000))
    def clock(self, step_ms):
        self.tick(step_ms=step_ms)

    @rule(ms=st.integers(0, 10_000))
    def silence(self, ms):
        for _ in range(ms // TICK_MS):
            self.tick()

    @rule(door=st.sampled_from([inputs.NONE, 0, 1]))
    def open_or_shut(self, door):
        self.bench.inputs.door = door
        self.tick()

    @rule(current_ma=st.sampled_from([inputs.NONE, 0, 5_000, -5_000]))
    def current(self, current_ma):
        self.bench.inputs.current_ma = current_ma
        self.tick()

    @rule()
    def arm_and_start(self):
        self.bench.inputs.stop = 0
        self.machine.arm(self.bench.now_ms, PLAN_ID)
        self.machine.start(self.bench.now_ms)
        self.tick()

    @rule(pressed=st.sampled_from([0, 1]))
    def stop_input(self, pressed):
        self.bench.inputs.stop = pressed
        self.tick()

    @rule()
    def stop(self):
        self.machine.stop(self.bench.now_ms)
        self.holds()

    @rule(melted=st.booleans())
    def mark(self, melted):
        self.machine.mark(self.bench.now_ms, melted)
        self.machine.unmark(self.bench.now_ms)

    @rule()
    def lease(self):
        self.machine.lease(self.bench.now_ms)

    @rule(by=st.sampled_from([BY_HOST, BY_BUTTON]))
    def clear(self, by):
        self.machine.acknowledge()
        if self.machine.clear(self.bench.now_ms, by) is None:
            self.uncleared = False

    @precondition(lambda self: self.machine.state in (ARMED, RUNNING))
    @rule()
    def wait_until_it_runs(self):
        for _ in range(120):
            if self.machine.state == ARMED:
                self.tick()

    @rule()
    def restart(self):
        """The power fails and comes back: whatever was open is a trip then."""
        was_hot = self.machine.state == RUNNING
        bench = self.bench.restarted()
        bench.inputs.sensor_mc = max(self.bench.inputs.sensor_mc, 22_000)
        self.bench = self.started(bench)
        assert not was_hot or self.machine.state == TRIPPED
        self.uncleared = self.machine.state == TRIPPED

    def holds(self):
        machine, outputs = self.machine, self.bench.outputs
        if outputs.duty or outputs.heats:
            assert machine.state == RUNNING
            assert self.good_age_ms <= LEASE_MS
            assert self.over_ms <= OVER_PATIENCE_MS
            assert machine.plan.limits[SENSOR_MAX] <= CEILING_MC
        if outputs.relay or outputs.is_ssr_alone:
            assert machine.is_live
        if self.uncleared:
            assert machine.state == TRIPPED
            assert outputs.is_off

    @invariant()
    def always(self):
        self.holds()


def test_any_sequence(counted):
    class Case(Controller.TestCase):
        settings = settings(
            max_examples=counted(2_000), stateful_step_count=40, deadline=None, database=None
        )

    Case("runTest").runTest()
