"""From the core's command to the heat that the element gets: burst firing behind a safety relay."""

from heatcore.burst import Burst

MAINS_HZ = 50


class Actuator:
    """Counts out whole mains cycles with the controller's own burst pattern.

    `ssr_stuck` (share of cycles that it conducts: 1.0 welded, 0.0 dead), `half_wave_stuck` (one
    of its two thyristors welded), `relay_stuck` (1 welded, 0 open) and `element_share` (what is
    left of the element) are for faults; None is a part that does as it is told.
    """

    def __init__(self, mains_hz: int = MAINS_HZ) -> None:
        self.ssr_stuck: float | None = None
        self.half_wave_stuck = False
        self.relay_stuck: int | None = None
        self.element_share = 1.0
        self._mains_hz = mains_hz
        self._burst = Burst()
        self._cycles_due = 0.0
        self._share = 0.0

    def share(self, dt_s: float, duty: int, relay: int) -> float:
        """Share of the coming `dt_s` that the element is on, 0..1, for a duty in 0..10000."""
        closed = relay if self.relay_stuck is None else self.relay_stuck
        fired = self._fired_share(dt_s, duty)
        return self._conducted(fired) * self.element_share if closed else 0.0

    def _conducted(self, fired: float) -> float:
        if self.ssr_stuck is not None:
            return self.ssr_stuck
        return (1.0 + fired) / 2.0 if self.half_wave_stuck else fired

    def _fired_share(self, dt_s: float, duty: int) -> float:
        self._cycles_due += dt_s * self._mains_hz
        cycles = int(self._cycles_due)
        self._cycles_due -= cycles
        if cycles:  # a step shorter than a cycle goes on as the last one was
            self._share = sum(self._burst.slot(duty) for _ in range(cycles)) / cycles
        return self._share
