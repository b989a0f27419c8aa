"""How long a run still takes: by its plan's own clock, and at most where heat ends by readings."""

from __future__ import annotations

from collections.abc import Sequence

from heatcore import codes
from heatcore.plan import WAITS_WIDTH, Plan
from heatcore.scheduler import AT_MS, KIND
from heatwright import sentences
from heatwright.records.lines import WAITING


class TimeLeft:
    """Follows the samples of a run.

    While the plan's clock stands, what it leaves stands too. A plan whose heat ends by readings
    (``heats_ms``: when by its clock) stands for most of its time; until the last of them there is
    a longest time as well, which runs on.
    """

    def __init__(self, end_ms: int, stretch_ms: int = 0, heats_ms: Sequence[int] = ()) -> None:
        self.end_ms = end_ms
        self._longest_ms = end_ms + stretch_ms
        self._last_heat_ms = max(heats_ms, default=-1)
        self._waited_ms = 0
        self._now_ms = 0

    def see(self, sample: dict[str, int]) -> None:
        """Take a sample's time, and whether the plan's clock stood."""
        if sample["note"] in WAITING:
            self._waited_ms += max(sample["now_ms"] - self._now_ms, 0)
        self._now_ms = sample["now_ms"]

    def __str__(self) -> str:
        least = clock(max(self.end_ms + self._waited_ms - self._now_ms, 0))
        if self._now_ms - self._waited_ms > self._last_heat_ms:
            return least
        most = clock(max(self._longest_ms - self._now_ms, 0))
        return sentences.LEFT_BETWEEN.format(least=least, most=most)


def time_left(plan: Plan) -> TimeLeft:
    """The time left of this plan, before it has begun."""
    rows = range(0, len(plan.waits), WAITS_WIDTH) if plan.law == codes.DUTY else ()
    heats = [plan.waits[row + AT_MS] for row in rows if plan.waits[row + KIND] == codes.WAIT_ABOVE]
    return TimeLeft(plan.t_ms[-1], plan.stretch_ms, heats)


def clock(time_ms: int) -> str:
    """Minutes and seconds, as 3:05."""
    return f"{time_ms // 60_000}:{time_ms // 1000 % 60:02d}"
