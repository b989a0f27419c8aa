"""The last good reading of the control sensor, its age, and what is wrong with the newest."""

from heatcore.codes import SENSOR_RANGE, SENSOR_STALE
from heatcore.inputs import COLD_JUNCTION, NONE, OK, Inputs
from heatcore.limits import LEASE_MS, SENSOR_HIGH_MC, SENSOR_LOW_MC

AGE_MAX_MS = 1 << 20  # stops counting: no run lasts on a reading this old


class Reading:
    def __init__(self) -> None:
        self.mc = NONE  # last good value
        self.age_ms = AGE_MAX_MS
        self.seq = NONE
        self.fault = SENSOR_STALE  # trip code of what is wrong with the newest; 0 none
        self.seen = 0
        self.expected = 0

    def take(self, elapsed_ms: int, inputs: Inputs) -> None:
        self.fault = 0
        self._judge(inputs)
        self.seq = inputs.sensor_seq
        if self.fault:
            self.age_ms = min(self.age_ms + elapsed_ms, AGE_MAX_MS)
        else:
            self.mc = inputs.sensor_mc
            self.age_ms = inputs.sensor_age_ms

    def is_fresh(self) -> bool:
        """Good and young enough to heat on."""
        return 0 <= self.age_ms <= LEASE_MS

    def _judge(self, inputs: Inputs) -> None:
        """Every check is made; the gravest, made last, is the one that is told."""
        if inputs.sensor_seq == self.seq:
            self._tell(SENSOR_STALE, self.age_ms, LEASE_MS)
        if not 0 <= inputs.sensor_age_ms <= LEASE_MS:
            self._tell(SENSOR_STALE, inputs.sensor_age_ms, LEASE_MS)
        if not SENSOR_LOW_MC <= inputs.sensor_mc <= SENSOR_HIGH_MC:
            bound_mc = SENSOR_HIGH_MC if inputs.sensor_mc > SENSOR_HIGH_MC else SENSOR_LOW_MC
            self._tell(SENSOR_RANGE, inputs.sensor_mc, bound_mc)
        if inputs.sensor_status != OK:
            self._tell(_status_code(inputs.sensor_status), inputs.sensor_status, OK)

    def _tell(self, fault: int, seen: int, expected: int) -> None:
        self.fault = fault
        self.seen = seen
        self.expected = expected


def _status_code(status: int) -> int:
    """A status is its own trip code; an unknown one is as good as no reading."""
    return status if OK < status <= COLD_JUNCTION else SENSOR_STALE
