"""The reading since heat went off: how low it came, and whether it has begun to fall."""

from heatcore.inputs import NONE
from heatcore.limits import DOOR_QUIET_MS, FALLEN_MK, OFF_DUTY
from heatcore.reading import Reading
from heatcore.scene import Scene


class Fall:
    """One object, followed once a tick, that the rules for heat that is off share."""

    def __init__(self) -> None:
        self.lowest_mc = NONE
        self.has_begun = False
        self.settling_ms = 0  # still to go: a door just shut, and hot walls warm the reading
        self._highest_mc = NONE

    def follow(self, reading: Reading, scene: Scene, elapsed_ms: int) -> None:
        if reading.fault:
            return
        mc = reading.mc
        if scene.duty >= OFF_DUTY or scene.shutting or self.lowest_mc == NONE:
            self.lowest_mc = self._highest_mc = mc
            self.has_begun = False
        self.lowest_mc = min(self.lowest_mc, mc)
        self._highest_mc = max(self._highest_mc, mc)
        if not self.has_begun and mc <= self._highest_mc - FALLEN_MK:
            self.has_begun = True
            self.lowest_mc = mc
        left_ms = DOOR_QUIET_MS if scene.shutting else self.settling_ms - elapsed_ms
        self.settling_ms = max(0, left_ms)
