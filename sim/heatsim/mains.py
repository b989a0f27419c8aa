"""The wall socket: a ratio of nominal volts that is off, drifts and sags."""

from dataclasses import dataclass
from math import pi, sin
from random import Random

OFF_NOMINAL = 0.10  # EN 50160: supply within 10 % of nominal for 95 % of a week
DRIFT = 0.01
DRIFT_PERIOD_S = (120.0, 900.0)


@dataclass(frozen=True, kw_only=True)
class Sag:
    """Volts drop by `depth` (0.2 = a fifth) from `start_s` for `length_s`."""

    start_s: float
    length_s: float
    depth: float


@dataclass(frozen=True, kw_only=True)
class Mains:
    """Volts over nominal volts as a function of time alone, so that a run can be repeated."""

    level: float = 1.0
    drift: float = 0.0
    drift_period_s: float = 600.0
    drift_phase_s: float = 0.0
    sags: tuple[Sag, ...] = ()

    def ratio(self, time_s: float) -> float:
        """Ratio of nominal volts at `time_s`."""
        turn = 2.0 * pi * (time_s + self.drift_phase_s) / self.drift_period_s
        return (self.level + self.drift * sin(turn)) * (1.0 - self._sag(time_s))

    def _sag(self, time_s: float) -> float:
        return sum(s.depth for s in self.sags if s.start_s <= time_s < s.start_s + s.length_s)


def drawn(rng: Random) -> Mains:
    """Mains within 10 % of nominal, drifting slowly; no sag, which is a fault asked for by name."""
    period_s = rng.uniform(*DRIFT_PERIOD_S)
    return Mains(
        level=1.0 + rng.uniform(-OFF_NOMINAL + DRIFT, OFF_NOMINAL - DRIFT),
        drift=DRIFT,
        drift_period_s=period_s,
        drift_phase_s=rng.uniform(0.0, period_s),
    )
