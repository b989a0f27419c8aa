"""What the plan asks for at a moment: where the sensor ought to be and the duty to start from."""

from array import array

from heatcore.codes import SETPOINT
from heatcore.inputs import NONE
from heatcore.numbers import Ratio
from heatcore.plan import RISE_MAX, Plan
from heatcore.scheduler import Scheduler

# The setpoint law looks this far ahead along the profile. A small oven answers 20-35 s after its
# element is switched; less than that, so that a quicker source does not run ahead of the profile.
PREVIEW_MS = 15_000


class Curve:
    """Straight lines between knots. Time only goes on, so the search does too."""

    def __init__(self, t_ms: "array[int]", values: "array[int]", ratio: Ratio) -> None:
        self._t_ms = t_ms
        self._values = values
        self._ratio = ratio
        self._last = len(values) - 1
        self._knot = 0

    def at(self, t_ms: int, missing: int) -> int:
        if self._last < 0:
            return missing
        times = self._t_ms
        while self._knot < self._last and times[self._knot + 1] <= t_ms:
            self._knot += 1
        return self._values[self._knot] + self._part(t_ms - times[self._knot])

    def _part(self, since_ms: int) -> int:
        i = self._knot
        if i == self._last:
            return 0
        rise = self._values[i + 1] - self._values[i]
        return self._ratio.nearest(rise, since_ms, self._t_ms[i + 1] - self._t_ms[i])


class Reference:
    def __init__(self, plan: Plan, ratio: Ratio) -> None:
        self.y_mc = NONE
        self.ff_duty = 0
        self._y = Curve(plan.t_ms, plan.y_mc, ratio)
        self._u = Curve(plan.t_ms, plan.u, ratio)
        self._is_limited = plan.law == SETPOINT
        self._rise_mk_s = plan.limits[RISE_MAX]
        self._ratio = ratio
        self._carry = 0

    def update(self, schedule: Scheduler, elapsed_ms: int, sensor_mc: int) -> None:
        now_ms = schedule.plan_ms
        u = self._u.at(now_ms, 0)
        self.ff_duty = schedule.hold_duty() if schedule.waiting else u
        if self._is_limited:
            ahead_ms = min(now_ms + PREVIEW_MS, max(now_ms, schedule.horizon_ms()))
            self._follow(self._y.at(ahead_ms, NONE), elapsed_ms, sensor_mc)
        else:
            self.y_mc = self._y.at(now_ms, NONE)

    def _follow(self, target_mc: int, elapsed_ms: int, sensor_mc: int) -> None:
        """Rises from the first reading no faster than the plan's limit; falls with the profile."""
        if self.y_mc == NONE:
            self.y_mc = sensor_mc
            return
        rise_mk = self._ratio.of(self._rise_mk_s, elapsed_ms, 1000, self._carry)
        self._carry = self._ratio.rest
        self.y_mc = min(target_mc, self.y_mc + rise_mk)
