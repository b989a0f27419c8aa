"""The door while heat is wanted: heat waits for it, for a moment."""

from heatcore.inputs import Inputs
from heatcore.limits import DOOR_QUIET_MS, DOOR_WAIT_MS


class Door:
    def __init__(self) -> None:
        self.is_open = False
        self.is_left_open = False  # too long: the plan no longer fits
        self.is_quiet = False  # open, or the source still shows that it was
        self.is_shutting = False  # in this tick
        self._was = 0
        self._open_ms = 0
        self._quiet_ms = 0

    def see(self, inputs: Inputs, watched: bool, elapsed_ms: int) -> None:
        """Once a tick. From its cue on the door is nobody's fault: watched is False."""
        self.is_shutting = self._was == 1 and inputs.door == 0
        self._was = inputs.door
        self.is_open = watched and inputs.door == 1
        if self.is_open:
            self._open_ms = min(self._open_ms + elapsed_ms, DOOR_QUIET_MS)
            self._quiet_ms = DOOR_QUIET_MS
        else:
            self._open_ms = 0
            self._quiet_ms = max(0, self._quiet_ms - elapsed_ms)
        self.is_left_open = self._open_ms > DOOR_WAIT_MS
        self.is_quiet = self._quiet_ms > 0
