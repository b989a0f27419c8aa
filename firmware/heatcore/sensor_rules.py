"""Rules that know a lying sensor from its numbers alone."""

from array import array

from heatcore.inputs import NONE, OK, Inputs
from heatcore.limits import (
    DISAGREE_MK,
    DISAGREE_PATIENCE_MS,
    FALL_MAX_MK_S,
    RATE_PATIENCE_MS,
    RESPONSE_MIN_MK,
    REVERSED_MK,
    RISE_MAX_MK_S,
    RISE_NOISE_MK,
    SENSOR_PATIENCE_MS,
    STUCK_DUTY,
    STUCK_MS,
    TICK_MS,
    WRONG_TYPE_HIGH_PERCENT,
    WRONG_TYPE_LOW_PERCENT,
    WRONG_TYPE_RISE_MK,
)
from heatcore.patience import Patience
from heatcore.reading import Reading
from heatcore.scene import Scene

SECOND = 1000 // TICK_MS
PERCENT = 100
FAR_MK = 1 << 22  # more than any two readings differ; 100 times it stays a small integer


class Rate:
    """Over one second: faster up than this source can heat, or down than any source can cool."""

    def __init__(self, rise_max_mk_s: int) -> None:
        self.seen = 0
        self.expected = 0
        self._rise_max_mk = min(rise_max_mk_s, RISE_MAX_MK_S) + RISE_NOISE_MK
        self._ring = array("i", bytes(4 * SECOND))
        self._count = 0
        self._patience = Patience(RATE_PATIENCE_MS)

    def holds(self, reading: Reading, scene: Scene, elapsed_ms: int) -> bool:
        moved_mk = self._moved(reading)
        self.seen = moved_mk
        self.expected = -FALL_MAX_MK_S if moved_mk < 0 else self._rise_max_mk
        falls = moved_mk < -FALL_MAX_MK_S and not scene.falling
        wild = moved_mk > self._rise_max_mk or falls
        return self._patience.holds(scene.quiet or not wild, elapsed_ms)

    def _moved(self, reading: Reading) -> int:
        """Against the reading a second ago; nothing is known right after a gap."""
        if reading.fault:
            self._count = 0
            return 0
        place = self._count % SECOND
        moved_mk = reading.mc - self._ring[place] if self._count >= SECOND else 0
        self._ring[place] = reading.mc
        self._count += 1
        return moved_mk


class Reversed:
    """Leads the wrong way round read as much below the start as the truth is above it."""

    def __init__(self) -> None:
        self.seen = 0
        self.expected = 0
        self._base_mc = NONE
        self._patience = Patience(SENSOR_PATIENCE_MS)

    def holds(self, reading: Reading, inputs: Inputs, scene: Scene, elapsed_ms: int) -> bool:
        if reading.fault:
            return self._patience.holds(True, 0)
        if self._base_mc == NONE:
            self._base_mc = reading.mc
        base_mc = self._base_mc
        if inputs.cold_junction_mc != NONE:
            base_mc = min(base_mc, inputs.cold_junction_mc)
        self.seen = reading.mc
        self.expected = max(base_mc, -FAR_MK) - REVERSED_MK
        return self._patience.holds(scene.quiet or reading.mc >= self.expected, elapsed_ms)


class WrongType:
    """Another thermocouple gives a fixed share of the rise that the plan's model shows."""

    def __init__(self, knows_source: bool) -> None:
        self.seen = 0  # percent
        self.expected = 0
        self._knows_source = knows_source
        self._first_mc = NONE
        self._first_y_mc = NONE
        self._patience = Patience(SENSOR_PATIENCE_MS)

    def holds(self, reading: Reading, scene: Scene, elapsed_ms: int) -> bool:
        if reading.fault or not self._knows_source or scene.y_mc == NONE:
            return self._patience.holds(True, 0)
        if self._first_mc == NONE:
            self._first_mc = reading.mc
            self._first_y_mc = scene.y_mc
        return self._patience.holds(scene.quiet or self._is_plausible(reading, scene), elapsed_ms)

    def _is_plausible(self, reading: Reading, scene: Scene) -> bool:
        planned_mk = scene.y_mc - self._first_y_mc
        rise_mk = min(reading.mc - self._first_mc, FAR_MK)
        if planned_mk < WRONG_TYPE_RISE_MK or rise_mk < RESPONSE_MIN_MK:
            return True
        self.seen = rise_mk * PERCENT // planned_mk
        too_low = self.seen < WRONG_TYPE_LOW_PERCENT
        self.expected = WRONG_TYPE_LOW_PERCENT if too_low else WRONG_TYPE_HIGH_PERCENT
        return WRONG_TYPE_LOW_PERCENT <= self.seen <= WRONG_TYPE_HIGH_PERCENT


class Stuck:
    """The whole word, cold junction included, while the heater changes. Steadiness alone is none.

    It begins with the first answer to the heat: until then a source may well stand still.
    """

    def __init__(self) -> None:
        self.seen = 0
        self.expected = STUCK_MS
        self._first_mc = NONE
        self._mc = NONE
        self._junction_mc = NONE
        self._same_ms = 0
        self._least_duty = 0
        self._most_duty = 0
        self._has_answered = False

    def holds(self, reading: Reading, inputs: Inputs, scene: Scene, elapsed_ms: int) -> bool:
        if reading.fault:
            return True
        if self._first_mc == NONE:
            self._first_mc = reading.mc
        if reading.mc - self._first_mc >= RESPONSE_MIN_MK:
            self._has_answered = True
        if reading.mc != self._mc or inputs.cold_junction_mc != self._junction_mc or scene.quiet:
            self._begin(reading, inputs, scene)
        else:
            self._go_on(scene, elapsed_ms)
        self.seen = self._same_ms
        swing = self._most_duty - self._least_duty
        return not self._has_answered or self._same_ms < STUCK_MS or swing < STUCK_DUTY

    def _begin(self, reading: Reading, inputs: Inputs, scene: Scene) -> None:
        self._mc = reading.mc
        self._junction_mc = inputs.cold_junction_mc
        self._same_ms = 0
        self._least_duty = self._most_duty = scene.duty

    def _go_on(self, scene: Scene, elapsed_ms: int) -> None:
        self._same_ms = min(self._same_ms + elapsed_ms, FAR_MK)
        self._least_duty = min(self._least_duty, scene.duty)
        self._most_duty = max(self._most_duty, scene.duty)


class Disagree:
    """Two sensors, where a second is fitted and says that it is well."""

    def __init__(self) -> None:
        self.seen = 0
        self.expected = DISAGREE_MK
        self._patience = Patience(DISAGREE_PATIENCE_MS)

    def holds(self, reading: Reading, inputs: Inputs, scene: Scene, elapsed_ms: int) -> bool:
        if reading.fault or inputs.second_status != OK or inputs.second_mc == NONE:
            return self._patience.holds(True, elapsed_ms)
        self.seen = reading.mc - inputs.second_mc
        agree = -DISAGREE_MK <= self.seen <= DISAGREE_MK
        return self._patience.holds(scene.quiet or agree, elapsed_ms)
