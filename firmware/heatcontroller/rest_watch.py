# While no run is going on nothing gets warmer by itself. If it does, an output is welded, and no
# command can take the heat away.

from heatcore.codes import OVER_TEMPERATURE, UNEXPLAINED_RISE
from heatcore.inputs import NONE
from heatcore.limits import OVER_PATIENCE_MS, RISE_OFF_LOOSE_MK, RISE_OFF_MK, SENSOR_MAX_MC
from heatcore.patience import Patience

# Above this a source in idle is still warm from a run or is being heated.
WARM_MC = 60000
# A warm source in idle may only get colder; steps and noise of the sensor are less than this.
WARM_RISE_MK = 3000
# The day warms a workshop by less than 1 K a minute; a heater does so within seconds.
CREEP_MK_A_MINUTE = 1000
MINUTE_MS = 60000
# After a door is shut the air takes on again what the walls have kept: a minute of grace.
SETTLING_MS = 60000


class RestWatch:
    def __init__(self) -> None:
        self.seen = 0
        self.expected = RISE_OFF_MK
        # A source heated not long ago warms a cold board that is laid into it.
        self.source_is_warm = False
        self._rise_mk = RISE_OFF_MK
        self._lowest_mc = NONE
        self._before_ms = NONE
        self._creep = 0
        self._settled_ms = NONE
        self._rising = Patience(OVER_PATIENCE_MS)
        self._hot = Patience(OVER_PATIENCE_MS)

    def begin(self, rise_mk: int) -> None:
        # The heater has just gone off, or the machine has just started.
        self._rise_mk = rise_mk
        self._lowest_mc = NONE
        self._rising.forgive()

    def door_moved(self, now_ms: int) -> None:
        self._settled_ms = now_ms + SETTLING_MS

    def judge(self, now_ms: int, inputs, is_idle: bool) -> int:
        # The code of a trip, or 0. Without a reading the last one stands.
        elapsed_ms = self._elapsed(now_ms)
        mc = inputs.sensor_mc
        if mc == NONE:
            return 0
        self._follow(mc, elapsed_ms)
        if not self._hot.holds(mc <= SENSOR_MAX_MC, elapsed_ms):
            self.seen = mc
            self.expected = SENSOR_MAX_MC
            return OVER_TEMPERATURE
        self.expected = self._allowed(now_ms, mc, inputs, is_idle)
        self.seen = mc - self._lowest_mc
        held = self._rising.holds(self.seen <= self.expected, elapsed_ms)
        return 0 if held else UNEXPLAINED_RISE

    def _elapsed(self, now_ms: int) -> int:
        elapsed_ms = 0 if self._before_ms == NONE else now_ms - self._before_ms
        self._before_ms = now_ms
        return min(max(elapsed_ms, 0), MINUTE_MS)

    def _follow(self, mc: int, elapsed_ms: int) -> None:
        self._creep += elapsed_ms * CREEP_MK_A_MINUTE
        if self._lowest_mc == NONE:
            self._lowest_mc = mc
        self._lowest_mc = min(mc, self._lowest_mc + self._creep // MINUTE_MS)
        self._creep %= MINUTE_MS

    def _allowed(self, now_ms: int, mc: int, inputs, is_idle: bool) -> int:
        if self._settled_ms != NONE and now_ms <= self._settled_ms:
            return max(self._rise_mk, RISE_OFF_LOOSE_MK)
        if is_idle and mc <= WARM_MC:
            self._rise_mk = RISE_OFF_LOOSE_MK if self.source_is_warm else RISE_OFF_MK
        if is_idle and mc > WARM_MC:
            # Without a switch nobody knows whether it was the door.
            return self._rise_mk if inputs.door == NONE else WARM_RISE_MK
        return self._rise_mk
