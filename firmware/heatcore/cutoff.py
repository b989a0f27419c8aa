"""The second path to off: a lease on both outputs, from the clock and the raw reading alone.

Imports nothing and shares nothing with the interlocks. No renewal, no heat.
"""

LEASE_MS = 1000  # four ticks: longer than any flash write, short against an oven's seconds
COLD_MC = -40_000  # below this the wire is broken or the leads are reversed
HOT_MC = 300_000  # no run here needs more, and a board begins to char


class Cutoff:
    def __init__(self) -> None:
        self.armed = False
        self.renewed_ms = 0
        self.seq = 0

    def arm(self, now_ms: int, sensor_seq: int) -> None:
        """Starts the lease: one lease's time to bring the first new reading."""
        self.renewed_ms = now_ms
        self.seq = sensor_seq
        self.armed = True

    def renew(self, now_ms: int, sensor_mc: int, sensor_seq: int) -> None:
        """Once a tick. A new and believable reading renews; a lease that ran out stays out."""
        if self.allows(now_ms) and sensor_seq != self.seq and COLD_MC <= sensor_mc <= HOT_MC:
            self.renewed_ms = now_ms
        self.seq = sensor_seq

    def allows(self, now_ms: int) -> bool:
        """Whether either output may be on. Latches off until armed again."""
        self.armed = self.armed and 0 <= now_ms - self.renewed_ms <= LEASE_MS
        return self.armed

    def drop(self) -> None:
        self.armed = False
