# The state machine. It reads no clock and touches no pin or file: all of these are passed in.
#
#   config   config.Config
#   outputs  .apply(now_ms, command): what this tick wants; .off(): both heater outputs off at once;
#            .has_two: SSR and safety relay are fitted; .close_ssr(): it alone, until the next tick
#   store    marker() open_marker(text) note_marker(text) close_marker() plan(id) was_heated()
#            watchdog_resets() forget_resets() forget_heat()
#   say      say(run_ms, code, seen, expected): one event, codes as in heatcore.codes
#
# A verb gives None when done, or (code, text) when refused. now_ms is uptime, unwrapped. The state
# machine alone writes inputs.mark and inputs.host_age_ms, and adds to inputs.press, which the
# drivers write anew before each step.

from heatcore import codes
from heatcore.command import Command
from heatcore.heat_rules import rise_allowed_mk
from heatcore.inputs import NONE, Inputs
from heatcore.limits import RISE_OFF_LOOSE_MK, RISE_OFF_MK, TICK_MS
from heatcore.patience import Patience
from heatcore.plan import BOARD_MAX, REST_MAX_S, RISE_MAX, RUN_MAX, SENSOR_MAX
from heatcore.reading import Reading

from . import on_demand, start_window
from .off_proof import OffProof, has_current
from .proof import RISE_MK, OutputProof
from .rest_watch import WARM_MC, RestWatch

IDLE, ARMED, RUNNING, COOLING, TRIPPED, SERVICE = 0, 1, 2, 3, 4, 5
# Tuples made once: built in a tick, they would allocate.
UNHEATED = (IDLE, ARMED, COOLING)
ON_THE_CLOCK = (RUNNING, COOLING)
STATES = ("idle", "armed", "running", "cooling", "tripped", "service")

# Who asked; the `seen` of a stop or arm event.
BY_HOST, BY_BUTTON, BY_PANEL, BY_CTRL_C, BY_PLAN, BY_DOOR = 0, 1, 2, 3, 4, 5

# Time to read the plan's name and to reach the stop button.
COUNTDOWN_MS = 5000
# Armed and forgotten is disarmed.
ARMED_MAX_MS = 60000
# A reset is one mishap, two may be; three in a row are a fault that the next start would meet too.
RESETS_MAX = 3
# Sand cools slowest, at 50 C in a hot workshop by 10 K in this time. A source that loses less than
# COOLING_STEP_MK in it is held warm, or its sensor is dead: call for help.
COOLING_MAX_MS = 1200000
COOLING_STEP_MK = 5000
# A heater that is off must be seen to cool; a contact may be loose for as long as this.
COOLING_BLIND_MS = 10000
# Heat that no command has taken away: sounds until somebody acknowledges.
PULL_PLUG = (
    codes.OVER_TEMPERATURE,
    codes.RISE_WITHOUT_HEAT,
    codes.NOT_COOLING,
    codes.CURRENT_IN_OFF_SLOT,
    codes.CURRENT_WHILE_OFF,
    codes.HOT_AFTER_OFF,
    codes.NOT_PROVEN_OFF,
    codes.UNEXPLAINED_RISE,
    codes.OUTPUT_WELDED,
)
# The half-cycle runs out, a relay's contact takes some ms, and a current sensor averages.
CURRENT_OFF_MS = 1000
# Telemetry in idle counts uptime; this keeps it a small integer for ever.
UPTIME_MASK = (1 << 29) - 1
# So long after its last heat a source may still warm a cold board that is laid into it.
LATELY_HOT_MS = 3600000
# Beyond this a silence says nothing more, and must not grow out of a small integer.
SILENCE_MAX_MS = 1000000


class StateMachine:
    def __init__(self, config, outputs, store, say) -> None:
        self.config = config
        self.outputs = outputs
        self.store = store
        self.say = say
        self.state = IDLE
        self.plan = None
        self.plan_id = ""
        self.plan_name = ""
        self.run_ms = 0
        self.countdown_ms = 0
        self.trip = 0
        self.trip_seen = 0
        self.trip_expected = 0
        # Anything that is not a run's own command: no heat, no relay.
        self._rest = Command()
        self.command = self._rest
        self._off = OffProof()
        self._proof = OutputProof()
        self._watch = RestWatch()
        self._reading = Reading()
        self._blind = Patience(COOLING_BLIND_MS)
        self._presses = 0  # given by host or panel: they count with those of the button
        self._loop = None
        self._armed_ms = 0
        self._counting = False
        self._start_ms = 0
        self._cooler_ms = 0
        self._cooler_mc = NONE
        self._flow_ms = NONE
        self._hot_ms = 0
        self.is_hot = False
        self._is_proving = False
        self._rests = False
        self._ran = False
        self._host_ms = NONE
        self._marks = 0
        self._press = NONE
        self._has_button = False
        self._stage = NONE
        self._note = 0
        self._door = NONE
        self._inputs = Inputs()
        self._wake()

    def _wake(self) -> None:
        self.outputs.off()
        # The source may have been hot before this start: how long ago is unknown, so rest anew.
        self._rests = self.store.was_heated()
        marker = self.store.marker()
        if marker:
            self._latch(*_marked_trip(marker))
        elif self.store.watchdog_resets() >= RESETS_MAX:
            self._latch(codes.WATCHDOG_RESETS, self.store.watchdog_resets(), RESETS_MAX - 1)

    def line_ms(self, now_ms: int) -> int:
        # The time that a line carries: the run's where there is or was one, else uptime.
        if self.state in ON_THE_CLOCK:
            return self.run_ms
        if self.state == TRIPPED and self._ran:
            return now_ms - self._start_ms
        return 0 if self.state == ARMED else now_ms & UPTIME_MASK

    @property
    def proven_off(self) -> bool:
        return self._off.holds

    def step(self, now_ms: int, inputs) -> Command:
        self._inputs = inputs
        inputs.mark = self._marks
        inputs.host_age_ms = self._host_age_ms(now_ms)
        self._off.judge(now_ms, inputs)
        if inputs.stop:
            self.stop(now_ms, BY_BUTTON)
        self._see_press(now_ms, inputs)
        self._see_door(now_ms, inputs)
        if self._presses:
            inputs.press = max(inputs.press, 0) + self._presses
        self._tick(now_ms, inputs)
        self.outputs.apply(now_ms, self.command)
        return self.command

    def _host_age_ms(self, now_ms: int) -> int:
        return NONE if self._host_ms == NONE else min(now_ms - self._host_ms, SILENCE_MAX_MS)

    def _tick(self, now_ms: int, inputs) -> None:
        if self.state in UNHEATED:
            self._watch_current(now_ms, inputs)
        if self.state != RUNNING:
            self._watch_rise(now_ms, inputs)
        if self.state == IDLE:
            self._tick_idle(now_ms, inputs.sensor_mc)
        elif self.state == ARMED:
            self._tick_armed(now_ms, inputs)
        elif self.state == COOLING:
            self._tick_cooling(now_ms, inputs)
        if self.state == RUNNING:
            self._tick_running(now_ms, inputs)

    def _see_press(self, now_ms: int, inputs) -> None:
        self._has_button = inputs.press != NONE
        pressed = self._has_button and self._press != NONE and self._press != inputs.press
        self._press = inputs.press
        if pressed and self.state == ARMED:
            self.start(now_ms)
        elif pressed and self.state == TRIPPED:
            self._answer_alarm(now_ms)

    def _answer_alarm(self, now_ms: int) -> None:
        # The first press ends the noise; only the next one may clear what it was about.
        if not self.acknowledge():
            self.clear(now_ms, BY_BUTTON)

    def _see_door(self, now_ms: int, inputs) -> None:
        if inputs.door != self._door and self._door != NONE:
            self._watch.door_moved(now_ms)
            self.say(self.run_ms, codes.EVENT_DOOR, inputs.door, self._door)
        self._door = inputs.door

    def _watch_current(self, now_ms: int, inputs) -> None:
        if not has_current(inputs):
            self._flow_ms = NONE
        elif self._flow_ms == NONE:
            self._flow_ms = now_ms
        elif now_ms - self._flow_ms >= CURRENT_OFF_MS:
            self._trip(codes.CURRENT_WHILE_OFF, inputs.current_ma, 0)

    def _watch_rise(self, now_ms: int, inputs) -> None:
        self._watch.source_is_warm = self._is_lately_hot(now_ms)
        code = self._watch.judge(now_ms, inputs, self.state == IDLE)
        if not code or self.state == SERVICE:
            return
        if self.state != TRIPPED:
            self._trip(code, self._watch.seen, self._watch.expected)
        elif not self.is_hot:
            # Stopped, and it heats on: the first trip stays, and the alarm begins.
            self._alarm()
            self.say(self.line_ms(now_ms), code, self._watch.seen, self._watch.expected)

    def _alarm(self) -> None:
        self.is_hot = True
        self._rest.note = codes.NOTE_PULL_PLUG

    def acknowledge(self) -> bool:
        # Ends the alarm's noise, not the trip. False where there was none.
        if self.state != TRIPPED or self._rest.note != codes.NOTE_PULL_PLUG:
            return False
        self._rest.note = self._note
        return True

    # --- idle -> armed -> running ---

    def arm(self, now_ms: int, plan_id: str, by: int = BY_HOST) -> tuple | None:
        if self.state != IDLE:
            return ("not_idle", "the controller is " + STATES[self.state])
        refused = self._arm_refusal(now_ms, plan_id, by)
        if refused:
            self._forget_plan()
            return refused
        self._begin_armed(now_ms, plan_id)
        self.say(0, codes.EVENT_ARM, by, COUNTDOWN_MS)
        return None

    def _begin_armed(self, now_ms: int, plan_id: str) -> None:
        self.plan_id = plan_id
        self.plan_name = self.plan.name
        self._armed_ms = now_ms
        self._counting = False
        self.countdown_ms = COUNTDOWN_MS
        self.run_ms = 0
        self._marks = 0
        self._presses = 0
        self._stage = NONE
        rise_mk = RISE_OFF_LOOSE_MK if self._is_lately_hot(now_ms) else RISE_MK
        self._proof.begin(now_ms, self._inputs.sensor_mc, rise_mk)
        self.state = ARMED

    def _arm_refusal(self, now_ms: int, plan_id: str, by: int) -> tuple | None:
        if self.config.outputs == "none":
            return ("no_outputs", "this controller is set up to read only: outputs = none")
        refused = self._load(plan_id)
        if refused:
            return refused
        if by != BY_HOST and self.plan.host_lost == codes.STOP:
            return ("needs_host", "this plan stops without a laptop: start it from there")
        refused = self._window_refusal(now_ms)
        if refused is None and not self.store.open_marker(plan_id):
            return ("no_marker", "the mark that a run is open can't be written: no heat without it")
        return refused

    def _load(self, plan_id: str) -> tuple | None:
        refused = self._read_plan(plan_id)
        if refused:
            return refused
        self._tighten(self.plan.limits)
        # The plan's text is let go by now: what drives the run needs the room.
        self._loop = on_demand.control_loop(self.plan)
        return start_window.limits_refusal(self.plan)

    def _read_plan(self, plan_id: str) -> tuple | None:
        on_demand.make_room()
        data = self.store.plan(plan_id)
        if data is None:
            return ("no_plan", "no such plan is kept here")
        self.plan, trouble = on_demand.read_plan(data)
        if self.plan is None:
            return ("bad_plan", trouble)
        if self.plan.id != plan_id:
            return ("bad_plan", "the plan kept here has another id: send it again")
        return None

    def _tighten(self, limits) -> None:
        config = self.config
        limits[SENSOR_MAX] = min(limits[SENSOR_MAX], config.sensor_max_mc)
        limits[BOARD_MAX] = min(limits[BOARD_MAX], config.board_max_mc)
        limits[RUN_MAX] = min(limits[RUN_MAX], config.run_max_ms)
        limits[RISE_MAX] = min(limits[RISE_MAX], config.rise_max_mk_s)

    def _window_refusal(self, now_ms: int) -> tuple | None:
        fall = self._off.fall_mk(self._inputs.sensor_mc)
        return start_window.refusal(self.plan, self._inputs, self._rested_s(now_ms), fall)

    def _is_lately_hot(self, now_ms: int) -> bool:
        return self._rests and now_ms - self._hot_ms < LATELY_HOT_MS

    def _rested_s(self, now_ms: int) -> int:
        if not self._rests:
            return REST_MAX_S
        return (now_ms - self._hot_ms) // 1000

    def start(self, now_ms: int) -> tuple | None:
        if self.state == RUNNING:
            # In a run the same word says that somebody is there.
            self._presses += 1
            return None
        if self.state != ARMED:
            return ("not_armed", "arm a plan first: the controller is " + STATES[self.state])
        if not self._counting:
            self._counting = True
            self._armed_ms = now_ms
        return None

    @property
    def is_live(self) -> bool:
        # Whether a heater output may be closed: the cut-off's lease runs only then.
        return self.state == RUNNING or (self.state == ARMED and self._is_proving)

    def _prove(self, now_ms: int, inputs) -> bool:
        # Whether the proof is done; a run starts no earlier.
        self._is_proving = self.outputs.has_two and not self._proof.is_done(now_ms)
        self._rest.relay = 0
        if not self._is_proving:
            return True
        if not self._proof.holds(inputs):
            self._trip(codes.OUTPUT_WELDED, self._proof.seen, self._proof.expected)
        elif self._proof.closes_relay(now_ms):
            self._rest.relay = 1
        elif self._proof.closes_ssr(now_ms):
            self.outputs.close_ssr()
        return False

    def _tick_armed(self, now_ms: int, inputs) -> None:
        if not self._prove(now_ms, inputs):
            self._armed_ms = now_ms
            return
        waited_ms = now_ms - self._armed_ms
        if not self._counting:
            if waited_ms >= ARMED_MAX_MS:
                self.stop(now_ms, BY_PLAN)
            return
        self.countdown_ms = max(0, COUNTDOWN_MS - waited_ms)
        if self.countdown_ms:
            return
        if self._window_refusal(now_ms):
            self.stop(now_ms, BY_PLAN)
            return
        self._start_ms = now_ms
        self._rests = True
        self._ran = True
        self.state = RUNNING

    # --- running -> cooling -> idle ---

    def _tick_running(self, now_ms: int, inputs) -> None:
        self.run_ms = now_ms - self._start_ms
        self.command = self._loop.tick(self.run_ms, inputs)
        self._note_heat(now_ms)
        self._tell_progress(self.command)
        if self.command.trip:
            self._trip(self.command.trip, self._loop.trip_seen, self._loop.trip_expected)
        elif self._loop.ended:
            self._cool()

    def _note_heat(self, now_ms: int) -> None:
        if self.command.duty:
            self._hot_ms = now_ms
            self._off.restart()

    def _tell_progress(self, command) -> None:
        if command.stage != self._stage:
            self.say(self.run_ms, codes.EVENT_STAGE, command.stage, self._stage)
            self._stage = command.stage
        if command.note != self._note:
            self._note = command.note
            self._tell_note(command.note)

    def _tell_note(self, note: int) -> None:
        if note == codes.NOTE_NOT_MELTED:
            self.say(self.run_ms, codes.EVENT_NOT_MELTED, 0, 0)
        elif note == codes.NOTE_HOST_LOST:
            self.say(self.run_ms, codes.EVENT_STOP, BY_PLAN, 0)
        elif note == codes.NOTE_DOOR_LEFT_OPEN:
            self.say(self.run_ms, codes.EVENT_STOP, BY_DOOR, 0)

    def _cool(self) -> None:
        self._cooler_mc = NONE
        self._fall_silent(1)
        self._watch.begin(self._coast_mk())
        self._blind.forgive()
        self.state = COOLING

    def _coast_mk(self) -> int:
        # What the source rises by itself; without a switch a door may be shut on hot walls.
        if self.plan is None:
            return RISE_OFF_MK
        coast_mk = rise_allowed_mk(self.plan, RISE_OFF_MK)
        return max(coast_mk, RISE_OFF_LOOSE_MK) if self._door == NONE else coast_mk

    def _fall_silent(self, cooling: int) -> None:
        # Fan and door bring the board down; after a trip nothing is assumed to be safe to move.
        rest = self._rest
        rest.fan = rest.door_cue = cooling
        rest.stage = codes.RAMP_DOWN if cooling else max(self._stage, 0)
        rest.relay = 0
        rest.trip = self.trip
        rest.note = self._note
        self.command = rest

    def _tick_cooling(self, now_ms: int, inputs) -> None:
        self.run_ms = now_ms - self._start_ms
        limit_mc = self.plan.limits[SENSOR_MAX]
        reading = self._reading
        reading.take(TICK_MS, inputs)
        if not self._blind.holds(reading.fault == 0, TICK_MS):
            self._trip(reading.fault, reading.seen, reading.expected)
        elif inputs.sensor_mc != NONE and inputs.sensor_mc > limit_mc:
            self._trip(codes.HOT_AFTER_OFF, inputs.sensor_mc, limit_mc)
        elif not self._still_cools(now_ms, inputs.sensor_mc):
            self._trip(codes.NOT_PROVEN_OFF, COOLING_MAX_MS, 0)
        elif self._off.holds:
            self._come_to_rest()

    def _tick_idle(self, now_ms: int, mc: int) -> None:
        # The fall behind a door just opened proves the heater off, and one that is welded then
        # holds the source where it is.
        if mc <= WARM_MC:
            self._cooler_mc = NONE
        elif not self._still_cools(now_ms, mc):
            self._trip(codes.NOT_PROVEN_OFF, COOLING_MAX_MS, 0)

    def _still_cools(self, now_ms: int, mc: int) -> bool:
        # Slower than the proof asks for is no fault, as long as it goes on.
        if self._cooler_mc == NONE or NONE < mc <= self._cooler_mc - COOLING_STEP_MK:
            self._cooler_mc = mc
            self._cooler_ms = now_ms
        return now_ms - self._cooler_ms < COOLING_MAX_MS

    def _come_to_rest(self) -> None:
        # A marker that won't go away would say at the next start that this run was cut short.
        self.store.close_marker()
        self._end_run()

    def _forget_plan(self) -> None:
        self.plan = None
        self._loop = None

    def _end_run(self) -> None:
        self._forget_plan()
        self._ran = False
        self.countdown_ms = 0
        self.trip = self.trip_seen = self.trip_expected = 0
        self._note = 0
        self._fall_silent(0)
        self._rest.stage = 0
        self.state = IDLE

    # --- stop, trip, clear ---

    def stop(self, now_ms: int, by: int = BY_HOST) -> tuple | None:
        if self.state != RUNNING and self.state != ARMED:
            return None
        # At once, and not with the next tick: the proof at arming may have closed one of them.
        self.outputs.off()
        self.say(self.run_ms, codes.EVENT_STOP, by, 0)
        if self.state == RUNNING:
            self._note = codes.NOTE_STOPPED
            self._cool()
        else:
            self._come_to_rest()
        return None

    def cutoff_opened(self) -> None:
        # The other path to off was faster: said as a trip, since the run cannot go on without heat.
        if self.state == RUNNING:
            self._trip(codes.CUTOFF_OPEN, 0, 0)

    def _trip(self, code: int, seen: int, expected: int) -> None:
        self.outputs.off()
        if self.state == RUNNING:
            self._watch.begin(self._coast_mk())
        self._latch(code, seen, expected)
        self.say(self.run_ms, code, seen, expected)
        try:
            self.store.note_marker("{} {} {}".format(code, seen, expected))
        except MemoryError:
            pass  # heat is off, and the marker itself says "tripped" at the next start

    def _latch(self, code: int, seen: int, expected: int) -> None:
        self.trip = code
        self.trip_seen = seen
        self.trip_expected = expected
        self.state = TRIPPED
        self._fall_silent(0)
        self.is_hot = False
        if code in PULL_PLUG:
            self._alarm()

    def clear(self, now_ms: int, by: int = BY_HOST) -> tuple | None:
        if self.state != TRIPPED:
            return ("not_tripped", "there is nothing to clear")
        if by == BY_HOST and self._has_button:
            return ("at_button", "press the start button at the controller: look at the oven first")
        if not self._off.holds:
            return ("not_proven_off", "the heater is not proven off: wait until it has cooled")
        if not self.store.close_marker():
            return ("marker_stays", "the mark of the open run can't be removed")
        self.store.forget_resets()
        self._watch.begin(self._coast_mk())
        self._end_run()
        return None

    # --- the rest of the verbs ---

    def mark(self, now_ms: int, melted: bool = True) -> tuple | None:
        if self.state not in ON_THE_CLOCK:
            return ("not_running", "no run to mark")
        if melted:
            self._marks += 1
        code = codes.EVENT_MARK if melted else codes.EVENT_NOT_MELTED
        self.say(now_ms - self._start_ms, code, self._inputs.sensor_mc, self._marks)
        return None

    def unmark(self, now_ms: int) -> tuple | None:
        if self.state not in ON_THE_CLOCK or not self._marks:
            return ("no_mark", "there is no mark to take back")
        self._marks -= 1
        self.say(now_ms - self._start_ms, codes.EVENT_UNMARK, self._inputs.sensor_mc, self._marks)
        return None

    def lease(self, now_ms: int) -> None:
        self._host_ms = now_ms

    def serve(self) -> None:
        # Never heats, and only a reset leaves it.
        self.outputs.off()
        self._fall_silent(0)
        self.state = SERVICE


def _marked_trip(marker: str) -> tuple:
    # A line "code seen expected" below the plan's id: the trip that the marker has outlived.
    words = marker.split("\n")[-1].split()
    try:
        code, seen, expected = [int(word) for word in words]
    except ValueError:
        return codes.POWER_LOST, 0, 0
    return code, seen, expected
