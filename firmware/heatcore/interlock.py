"""The first path to off: every rule judged every tick, no short cut, the first trip latched.

A rule states what must hold, as low <= x <= high, so that what cannot be compared fails it.
"""

from heatcore.codes import (
    BOARD_TOO_HOT,
    CLOCK_JUMP,
    COLD_JUNCTION_RANGE,
    CURRENT_IN_OFF_SLOT,
    FALL_UNDER_HEAT,
    NO_CURRENT,
    NO_RESPONSE,
    NOT_AS_EXPECTED,
    NOT_COOLING,
    OVER_PLAN_CEILING,
    OVER_TEMPERATURE,
    PLAN_CORRUPT,
    RISE_WITHOUT_HEAT,
    RUN_TOO_LONG,
    SENSOR_RATE,
    SENSOR_REVERSED,
    SENSOR_STUCK,
    SENSOR_WRONG_TYPE,
    SENSORS_DISAGREE,
    TICK_LEASE,
    TRACK,
)
from heatcore.fall import Fall
from heatcore.heat_rules import (
    Cooling,
    FallUnderHeat,
    NoCurrent,
    OffSlot,
    Response,
    RiseWithoutHeat,
)
from heatcore.inputs import NONE, OK, Inputs
from heatcore.limits import (
    BOARD_MAX_MC,
    CURRENT_MA,
    JUNCTION_HIGH_MC,
    JUNCTION_LOW_MC,
    LEASE_MS,
    OVER_PATIENCE_MS,
    RISE_MAX_MK_S,
    RUN_MAX_MS,
    SENSOR_MAX_MC,
    SENSOR_PATIENCE_MS,
    WATCHDOG_MS,
)
from heatcore.numbers import Ratio
from heatcore.patience import Patience
from heatcore.plan import BOARD_MAX, RISE_MAX, RUN_MAX, SENSOR_MAX, Plan
from heatcore.reading import Reading
from heatcore.residual import Residual
from heatcore.scene import Scene
from heatcore.sensor_rules import Disagree, Rate, Reversed, Stuck, WrongType
from heatcore.watch import Watch


class Interlock:
    def __init__(self, plan: Plan, ratio: Ratio) -> None:
        knows_source = plan.law == TRACK
        self.trip = 0
        self.seen = 0
        self.expected = 0
        self.residual = Residual(plan.deviation, ratio)
        self._sensor_max_mc = min(plan.limits[SENSOR_MAX], SENSOR_MAX_MC)
        self._board_max_mc = min(plan.limits[BOARD_MAX], BOARD_MAX_MC)
        self._run_max_ms = min(plan.limits[RUN_MAX], RUN_MAX_MS)
        self._sensor = Patience(SENSOR_PATIENCE_MS)
        self._junction = Patience(SENSOR_PATIENCE_MS)
        self._absolute = Patience(OVER_PATIENCE_MS)
        self._ceiling = Patience(OVER_PATIENCE_MS)
        self._board = Patience(OVER_PATIENCE_MS)
        self._watch = Watch(plan.tables)
        self._rate = Rate(plan.limits[RISE_MAX] if knows_source else RISE_MAX_MK_S)
        self._reversed = Reversed()
        self._wrong_type = WrongType(knows_source)
        self._stuck = Stuck()
        self._disagree = Disagree()
        self._response = Response(plan)
        self._heated = FallUnderHeat()
        self._fall = Fall()
        self._rise = RiseWithoutHeat(plan, self._fall)
        self._cooling = Cooling(plan, self._fall)
        self._off_slot = OffSlot()
        self._no_current = NoCurrent()

    def judge(
        self, now_ms: int, step_ms: int, reading: Reading, inputs: Inputs, scene: Scene
    ) -> None:
        elapsed_ms = min(max(step_ms, 0), LEASE_MS)
        self._judge_clock(step_ms)
        self._judge_run_time(now_ms, scene.running)
        self._judge_sensor(reading, elapsed_ms)
        self._judge_junction(inputs.cold_junction_mc, elapsed_ms)
        self._judge_temperature(reading.mc, elapsed_ms)
        self._judge_board(inputs, elapsed_ms)
        self._judge_numbers(reading, inputs, scene, elapsed_ms)
        self._judge_heat(reading, inputs, scene, elapsed_ms)
        self._judge_current(inputs, scene, elapsed_ms)
        self._judge_residual(reading, scene)
        self._judge_plan()

    def _require(self, held: bool, trip: int, seen: int, expected: int) -> None:
        if held or self.trip:
            return
        self.trip = trip
        self.seen = seen
        self.expected = expected

    def _judge_clock(self, step_ms: int) -> None:
        """No late tick, and no clock that leaps back, or further than a hang could last."""
        self._require(0 <= step_ms <= WATCHDOG_MS, CLOCK_JUMP, step_ms, LEASE_MS)
        self._require(step_ms <= LEASE_MS, TICK_LEASE, step_ms, LEASE_MS)

    def _judge_run_time(self, now_ms: int, running: bool) -> None:
        held = not running or 0 <= now_ms <= self._run_max_ms
        self._require(held, RUN_TOO_LONG, now_ms, self._run_max_ms)

    def _judge_sensor(self, reading: Reading, elapsed_ms: int) -> None:
        held = self._sensor.holds(reading.fault == 0, elapsed_ms)
        self._require(held, reading.fault, reading.seen, reading.expected)

    def _judge_junction(self, mc: int, elapsed_ms: int) -> None:
        sound = mc == NONE or JUNCTION_LOW_MC <= mc <= JUNCTION_HIGH_MC
        bound_mc = JUNCTION_HIGH_MC if mc > JUNCTION_HIGH_MC else JUNCTION_LOW_MC
        held = self._junction.holds(sound, elapsed_ms)
        self._require(held, COLD_JUNCTION_RANGE, mc, bound_mc)

    def _judge_temperature(self, mc: int, elapsed_ms: int) -> None:
        """On the last good value: what went silent while too hot still counts."""
        held = self._absolute.holds(mc <= SENSOR_MAX_MC, elapsed_ms)
        self._require(held, OVER_TEMPERATURE, mc, SENSOR_MAX_MC)
        held = self._ceiling.holds(mc <= self._sensor_max_mc, elapsed_ms)
        self._require(held, OVER_PLAN_CEILING, mc, self._sensor_max_mc)

    def _judge_board(self, inputs: Inputs, elapsed_ms: int) -> None:
        sound = inputs.second_status != OK or inputs.second_mc <= self._board_max_mc
        held = self._board.holds(sound, elapsed_ms)
        self._require(held, BOARD_TOO_HOT, inputs.second_mc, self._board_max_mc)

    def _judge_numbers(
        self, reading: Reading, inputs: Inputs, scene: Scene, elapsed_ms: int
    ) -> None:
        """What a lying sensor's numbers give away."""
        held = self._rate.holds(reading, scene, elapsed_ms)
        self._require(held, SENSOR_RATE, self._rate.seen, self._rate.expected)
        held = self._reversed.holds(reading, inputs, scene, elapsed_ms)
        self._require(held, SENSOR_REVERSED, self._reversed.seen, self._reversed.expected)
        held = self._wrong_type.holds(reading, scene, elapsed_ms)
        self._require(held, SENSOR_WRONG_TYPE, self._wrong_type.seen, self._wrong_type.expected)
        held = self._stuck.holds(reading, inputs, scene, elapsed_ms)
        self._require(held, SENSOR_STUCK, self._stuck.seen, self._stuck.expected)
        held = self._disagree.holds(reading, inputs, scene, elapsed_ms)
        self._require(held, SENSORS_DISAGREE, self._disagree.seen, self._disagree.expected)

    def _judge_heat(self, reading: Reading, inputs: Inputs, scene: Scene, elapsed_ms: int) -> None:
        held = self._response.holds(reading, scene, elapsed_ms)
        self._require(held, NO_RESPONSE, self._response.seen, self._response.expected)
        held = self._heated.holds(reading, scene, elapsed_ms)
        self._require(held, FALL_UNDER_HEAT, self._heated.seen, self._heated.expected)
        self._fall.follow(reading, scene, elapsed_ms)
        held = self._rise.holds(reading, scene, elapsed_ms)
        self._require(held, RISE_WITHOUT_HEAT, self._rise.seen, self._rise.expected)
        held = self._cooling.holds(reading, inputs, scene, elapsed_ms)
        self._require(held, NOT_COOLING, self._cooling.seen, self._cooling.expected)

    def _judge_current(self, inputs: Inputs, scene: Scene, elapsed_ms: int) -> None:
        held = self._off_slot.holds(inputs, scene, elapsed_ms)
        self._require(held, CURRENT_IN_OFF_SLOT, inputs.current_ma, CURRENT_MA)
        held = self._no_current.holds(inputs, scene, elapsed_ms)
        self._require(held, NO_CURRENT, inputs.current_ma, CURRENT_MA)

    def _judge_residual(self, reading: Reading, scene: Scene) -> None:
        residual = self.residual
        if reading.fault or scene.quiet or scene.waiting or scene.y_mc == NONE:
            residual.restart()
            return
        extra_duty = scene.duty - scene.ff_duty
        held = residual.holds(scene.plan_ms, reading.mc - scene.y_mc, extra_duty)
        self._require(held, NOT_AS_EXPECTED, residual.seen, residual.expected)

    def _judge_plan(self) -> None:
        held = self._watch.is_sound()
        self._require(held, PLAN_CORRUPT, self._watch.seen, self._watch.expected)
