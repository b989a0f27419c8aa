"""Ties the chip's virtual clock to the wall's: so many simulated seconds a second."""

from __future__ import annotations

import time
from collections.abc import Callable

# A chip that lags further than this is late, as a busy one would be; it never races to catch up.
LATE_S = 0.05


class Pace:
    """When a frame of the chip's time may be answered. `speed` None: at once."""

    def __init__(self, speed: float | None, clock: Callable[[], float] = time.monotonic) -> None:
        self.speed = speed
        self._clock = clock
        self._chip_us = 0
        self._wall_s = clock()

    def restart(self) -> None:
        """The chip's clock begins at nought, now."""
        self._chip_us = 0
        self._wall_s = self._clock()

    def wait_s(self, now_us: int) -> float:
        """How long the wall's clock still has to run until the chip's `now_us`; never below 0."""
        if self.speed is None:
            return 0.0
        wall_s = self._wall_s + (now_us - self._chip_us) * 1e-6 / self.speed
        return max(0.0, wall_s - self._clock())

    def reached(self, now_us: int) -> float:
        """The chip is at `now_us`. Returns the simulated seconds that it stood still before."""
        if self.speed is None:
            return 0.0
        wall_s = self._wall_s + (now_us - self._chip_us) * 1e-6 / self.speed
        behind_s = self._clock() - wall_s
        self._chip_us = now_us
        self._wall_s = wall_s if behind_s < LATE_S else self._clock()
        return behind_s * self.speed if behind_s >= LATE_S else 0.0
