"""The first path to off: every rule judged every tick, no short cut, the first trip latched.

A rule states what must hold, as low <= x <= high, so that what cannot be compared fails it.
"""

from heatcore.codes import (
    BOARD_TOO_HOT,
    OVER_PLAN_CEILING,
    OVER_TEMPERATURE,
    PLAN_CORRUPT,
    RUN_TOO_LONG,
    TICK_LEASE,
)
from heatcore.inputs import OK, Inputs
from heatcore.limits import (
    BOARD_MAX_MC,
    LEASE_MS,
    OVER_PATIENCE_MS,
    RUN_MAX_MS,
    SENSOR_MAX_MC,
    SENSOR_PATIENCE_MS,
)
from heatcore.plan import BOARD_MAX, RUN_MAX, SENSOR_MAX, Plan
from heatcore.reading import Reading
from heatcore.watch import Watch

FORGIVEN = 4  # a fault is forgiven in four times the time that it lasted: a loose contact trips
BORNE_MAX = 1 << 20  # stops counting


class Patience:
    """Bears a fault for limit_ms, all at once or in pieces."""

    def __init__(self, limit_ms: int) -> None:
        self._limit = limit_ms * FORGIVEN
        self._borne = 0

    def holds(self, sound: bool, elapsed_ms: int) -> bool:
        if sound:
            self._borne = max(0, self._borne - elapsed_ms)
        else:
            self._borne = min(self._borne + elapsed_ms * FORGIVEN, BORNE_MAX)
        return self._borne <= self._limit


class Interlock:
    def __init__(self, plan: Plan) -> None:
        self.trip = 0
        self.seen = 0
        self.expected = 0
        self._sensor_max_mc = plan.limits[SENSOR_MAX]
        self._board_max_mc = min(plan.limits[BOARD_MAX], BOARD_MAX_MC)
        self._run_max_ms = min(plan.limits[RUN_MAX], RUN_MAX_MS)
        self._sensor = Patience(SENSOR_PATIENCE_MS)
        self._absolute = Patience(OVER_PATIENCE_MS)
        self._ceiling = Patience(OVER_PATIENCE_MS)
        self._board = Patience(OVER_PATIENCE_MS)
        self._watch = Watch(plan.tables)

    def judge(
        self, now_ms: int, step_ms: int, reading: Reading, inputs: Inputs, running: bool
    ) -> None:
        elapsed_ms = min(max(step_ms, 0), LEASE_MS)
        self._judge_lease(step_ms)
        self._judge_run_time(now_ms, running)
        self._judge_sensor(reading, elapsed_ms)
        self._judge_temperature(reading.mc, elapsed_ms)
        self._judge_board(inputs, elapsed_ms)
        self._judge_plan()

    def _require(self, held: bool, trip: int, seen: int, expected: int) -> None:
        if held or self.trip:
            return
        self.trip = trip
        self.seen = seen
        self.expected = expected

    def _judge_lease(self, step_ms: int) -> None:
        """Neither a late tick nor a clock that went backwards."""
        self._require(0 <= step_ms <= LEASE_MS, TICK_LEASE, step_ms, LEASE_MS)

    def _judge_run_time(self, now_ms: int, running: bool) -> None:
        held = not running or 0 <= now_ms <= self._run_max_ms
        self._require(held, RUN_TOO_LONG, now_ms, self._run_max_ms)

    def _judge_sensor(self, reading: Reading, elapsed_ms: int) -> None:
        held = self._sensor.holds(reading.fault == 0, elapsed_ms)
        self._require(held, reading.fault, reading.seen, reading.expected)

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

    def _judge_plan(self) -> None:
        held = self._watch.is_sound()
        self._require(held, PLAN_CORRUPT, self._watch.seen, self._watch.expected)
