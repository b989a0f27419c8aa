# What all converters have in common: pace, freshness and the last reading, all integers.

from heatcore.inputs import COLD_JUNCTION, DEAD_BUS, NONE, OK

# Where a cold junction beside a workshop's oven can really be; also the range for which the
# converters' data sheets state their junction accuracy.
JUNCTION_MIN_MC = -20000
JUNCTION_MAX_MC = 85000

# An age beyond this says nothing more, and must not grow out of a small integer.
AGE_MAX_MS = 1000000


class Sensor:
    # A converter's _convert(now_ms) ends in exactly one of _accept, _refuse and _silent.

    def __init__(self, pace_ms: int) -> None:
        self._pace_ms = pace_ms
        self.mc = NONE
        self.junction_mc = NONE
        self.status = DEAD_BUS
        self.seq = 0
        self._asked_ms = NONE
        self._fresh_ms = NONE

    def poll(self, now_ms: int) -> None:
        # Asked sooner than it converts, a chip gives its old value, and a MAX6675 never a new one.
        if self._asked_ms == NONE or now_ms - self._asked_ms >= self._pace_ms:
            self._asked_ms = now_ms
            try:
                self._convert(now_ms)
            except OSError:
                self._silent(DEAD_BUS)

    def _convert(self, now_ms: int) -> None:
        raise NotImplementedError

    def _accept(self, now_ms: int, mc: int, junction_mc: int) -> None:
        self._refuse(now_ms, OK, junction_mc)
        if junction_mc == NONE or JUNCTION_MIN_MC <= junction_mc <= JUNCTION_MAX_MC:
            self.mc = mc
        else:
            self.status = COLD_JUNCTION

    def _refuse(self, now_ms: int, status: int, junction_mc: int) -> None:
        # A conversion that is new, but no temperature: the sequence moves, the value is missing.
        self.seq = (self.seq + 1) & 0xFFFFFF
        self._fresh_ms = now_ms
        self.mc = NONE
        self.status = status
        self.junction_mc = junction_mc

    def _silent(self, status: int) -> None:
        # Nothing new or nothing believable came: the sequence stands still, and the age grows.
        self.mc = NONE
        self.status = status
        self.junction_mc = NONE

    def age_ms(self, now_ms: int) -> int:
        if self._fresh_ms == NONE:
            return AGE_MAX_MS
        return min(now_ms - self._fresh_ms, AGE_MAX_MS)

    def fill(self, now_ms: int, inputs) -> None:
        inputs.sensor_mc = self.mc
        inputs.sensor_status = self.status
        inputs.sensor_seq = self.seq
        inputs.sensor_age_ms = self.age_ms(now_ms)
        inputs.cold_junction_mc = self.junction_mc

    def fill_second(self, now_ms: int, inputs) -> None:
        inputs.second_mc = self.mc
        inputs.second_status = self.status
        inputs.second_seq = self.seq
        inputs.second_age_ms = self.age_ms(now_ms)
