# Readings from the host in place of the sensor's, for tests with no oven. Lies outside the path of
# a normal boot: there no frame reaches it. The real sensor is still read.

from heatcontroller.off_proof import has_current
from heatcore.inputs import NONE, OK, Inputs

# An oven that really gets warm has no place in a test with made-up readings.
REAL_MAX_MC = 60000

# The order of a `sense` frame; a shorter frame leaves the rest as it was.
FIELDS = (
    "sensor_mc",
    "sensor_status",
    "cold_junction_mc",
    "second_mc",
    "second_status",
    "door",
    "press",
    "current_ma",
)


class InjectedHardware:
    def __init__(self, hardware, end) -> None:
        self._hardware = hardware
        self._end = end
        self._real = Inputs()
        self._told = Inputs()
        self._told_ms = NONE
        self._is_new = False
        self.outputs = hardware.outputs

    def sense(self, values: list) -> None:
        for name, value in zip(FIELDS, values):
            setattr(self._told, name, value)
        self._told.sensor_seq += 1
        self._told.second_seq += 1
        self._is_new = True

    def serve(self, now_ms: int) -> None:
        self._hardware.serve(now_ms)

    def read(self, now_ms: int, inputs) -> None:
        self._hardware.read(now_ms, self._real)
        if self._is_too_warm() or has_current(self._real):
            self._end()
        if self._is_new:
            self._is_new = False
            self._told_ms = now_ms
        for name in FIELDS:
            setattr(inputs, name, getattr(self._told, name))
        inputs.sensor_seq = self._told.sensor_seq
        inputs.second_seq = self._told.second_seq
        age_ms = NONE if self._told_ms == NONE else now_ms - self._told_ms
        inputs.sensor_age_ms = inputs.second_age_ms = age_ms
        inputs.stop = self._real.stop

    def _is_too_warm(self) -> bool:
        return self._real.sensor_status == OK and self._real.sensor_mc >= REAL_MAX_MC
