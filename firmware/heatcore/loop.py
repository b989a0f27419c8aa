"""The control core: told the time and the readings, answers with a command.

No clock, no pin, no file and no state outside the object. tick() allocates nothing, parses
nothing, builds no text and computes no CRC.
"""

from heatcore.codes import (
    DUTY,
    NOTE_DOOR_LEFT_OPEN,
    NOTE_DOOR_OPEN,
    NOTE_FINISHED,
    NOTE_HOST_LOST,
    NOTE_NO_READING,
    NOTE_STOPPED,
    RAMP_DOWN,
    STOP,
    TRACK,
)
from heatcore.command import Command
from heatcore.door import Door
from heatcore.inputs import NONE, Inputs
from heatcore.interlock import Interlock
from heatcore.limits import DUTY_MAX, HOST_LEASE_MS, LEASE_MS
from heatcore.numbers import Ratio, clamp
from heatcore.pid import Pid
from heatcore.plan import Plan
from heatcore.reading import Reading
from heatcore.reference import Reference
from heatcore.scene import Scene
from heatcore.scheduler import Scheduler

NOW_MAX_MS = 1 << 29  # six days: a clock beyond it is broken, and differences stay in 31 bits


class ControlLoop:
    """One object drives one run. `now_ms` starts near 0, when the run is armed."""

    def __init__(self, plan: Plan) -> None:
        self.plan = plan
        self.command = Command()
        self.trip_seen = 0
        self.trip_expected = 0
        self.plan_ms = 0  # the plan's own clock: stands still while it waits
        self.push_mk = 0  # what the residual makes of the source just now: see residual.py
        self.drift_mille = 0  # how far that has moved in this run: see drift.py
        self.ended = False  # finished, stopped or host lost: no more heat from this object
        self._end_note = 0
        self._begun = False
        self._last_ms = 0
        self._ratio = Ratio()
        self._reading = Reading()
        self._interlock = Interlock(plan, self._ratio)
        self._scene = Scene()
        self._door = Door()
        self._schedule = Scheduler(plan)
        self._reference = Reference(plan, self._ratio)
        self._pid = Pid(plan.gains, self._ratio)

    def tick(self, now_ms: int, inputs: Inputs) -> Command:
        step_ms = self._step_ms(now_ms, inputs)
        elapsed_ms = clamp(step_ms, 0, LEASE_MS)
        self._reading.take(elapsed_ms, inputs)
        self._door.see(inputs, not (self.ended or self._is_door_time()), elapsed_ms)
        self._set_scene()
        self._interlock.judge(now_ms, step_ms, self._reading, inputs, self._scene)
        self._obey(inputs)
        if not (self.ended or self._interlock.trip):
            self._schedule.advance(elapsed_ms, inputs, self._reading.mc)
            self._end(self._schedule.is_finished(), self._schedule.outcome or NOTE_FINISHED)
        self._reference.update(self._schedule, elapsed_ms, self._reading.mc)
        self._answer(self._wanted_duty())
        return self.command

    def saturations(self) -> int:
        """How often a product met its bound: more than a few say that the gains are wrong."""
        return self._ratio.saturated

    def _step_ms(self, now_ms: int, inputs: Inputs) -> int:
        """Since the last tick. The first comes when it comes, but not before 0."""
        step_ms = clamp(now_ms, -NOW_MAX_MS, NOW_MAX_MS) - self._last_ms
        self._last_ms = clamp(now_ms, 0, NOW_MAX_MS)
        if self._begun:
            return step_ms
        self._begun = True
        self._schedule.begin(inputs)
        return min(step_ms, 0)

    def _set_scene(self) -> None:
        """Before this tick decides anything: what the source has been doing until now."""
        scene, command, schedule = self._scene, self.command, self._schedule
        scene.running = not self.ended
        scene.quiet = self._door.is_quiet or self._is_door_time()
        scene.shutting = self._door.is_shutting
        scene.waiting = schedule.waiting
        # a plan may wait there for a slow source, before the door's cue and with heat on
        scene.falling = schedule.stage == RAMP_DOWN and not schedule.waiting
        scene.plan_ms = schedule.plan_ms
        scene.duty = command.duty
        scene.ff_duty = command.ff_duty
        scene.y_mc = command.y_mc

    def _obey(self, inputs: Inputs) -> None:
        self._end(inputs.stop != 0, NOTE_STOPPED)
        self._end(self._door.is_left_open, NOTE_DOOR_LEFT_OPEN)
        is_heard = 0 <= inputs.host_age_ms <= HOST_LEASE_MS
        self._end(self.plan.host_lost == STOP and not is_heard, NOTE_HOST_LOST)

    def _end(self, now: bool, note: int) -> None:
        if now and not self.ended:
            self.ended = True
            self._end_note = note

    def _wanted_duty(self) -> int:
        """In ramp_down feedback only takes heat away: nothing heats against an open door."""
        duty = self._duty_by_law()
        if self._schedule.stage == RAMP_DOWN:
            return min(duty, self._reference.ff_duty)
        return duty

    def _duty_by_law(self) -> int:
        """Every law is worked out on every tick with a reading, whether heat is allowed or not."""
        y_mc = self._reading.mc
        ff_duty = self._reference.ff_duty
        if self.plan.law == DUTY:
            return ff_duty
        if y_mc == NONE:
            return 0
        error_mk = self._reference.y_mc - y_mc
        signal_mk = -error_mk if self.plan.law == TRACK else y_mc
        return self._pid.step(self._schedule.plan_ms, ff_duty, error_mk, signal_mk)

    def _answer(self, duty: int) -> None:
        """Silence, unless everything allows otherwise."""
        allowed = not (self.ended or self._interlock.trip or self._schedule.outcome)
        command = self.command
        command.relay = 1 if allowed else 0
        heats = allowed and self._reading.is_fresh() and not self._door.is_open
        command.duty = clamp(duty, 0, DUTY_MAX) if heats else 0
        command.fan = 0 if self.ended or self._interlock.trip else 1
        command.door_cue = 1 if command.fan and self._is_door_time() else 0
        command.stage = self._schedule.stage
        command.y_mc = self._reference.y_mc
        command.ff_duty = self._reference.ff_duty
        self._tell(command)

    def _is_door_time(self) -> bool:
        return 0 <= self.plan.door_cue_ms <= self._schedule.plan_ms

    def _tell(self, command: Command) -> None:
        self.plan_ms = self._schedule.plan_ms
        self.push_mk = self._interlock.residual.push_mk
        self.drift_mille = self._interlock.residual.drift.mille
        command.trip = self._interlock.trip
        self.trip_seen = self._interlock.seen
        self.trip_expected = self._interlock.expected
        command.note = self._note()

    def _note(self) -> int:
        ended = self._end_note or self._schedule.outcome
        doubt = NOTE_NO_READING if self._reading.fault else 0
        door = NOTE_DOOR_OPEN if self._door.is_open else 0
        return ended or door or doubt or self._schedule.wait_note()
