"""Two degrees of freedom: the plan's own duty, and a PID on what is left of the deviation.

    duty = ff + (kp * e + ki * integral(e dt) - kd * d(signal)/dt) / 2**shift

with e = y* - y in mK and time in seconds, so kp is in 2**-shift duty per mK, ki in that per
second, kd in that times a second. The derivative acts on the signal through a first-order filter
of tf_ms. For a plan with a trajectory the signal is y - y*: following the plan exactly then leaves
the plan's duty untouched. For a plain profile it is y alone, so that a corner gives no kick.
"""

from array import array

from heatcore.limits import DUTY_MAX, TICK_MS
from heatcore.numbers import Ratio, clamp
from heatcore.plan import GAINS_WIDTH

TICKS_A_SECOND = 1000 // TICK_MS
INTEGRAL_MAX = 20_000  # duty: twice full power brings any feed-forward back to either end
SLOPE_MAX_MK_S = 1 << 22  # a signal that leaps over its whole range in one tick

# Cells of a row of plan.gains.
FROM_MS = 0
KP = 1
KI = 2
KD = 3
SHIFT = 4
TF_MS = 5


class Pid:
    def __init__(self, gains: "array[int]", ratio: Ratio) -> None:
        self._gains = gains
        self._ratio = ratio
        self._row = 0
        self._error_mk = 0
        self._signal_mk = 0
        self._slope_mk_s = 0
        self._slope_rest = 0
        self._integral = 0
        self._integral_rest = 0
        self._begun = False

    def step(self, plan_ms: int, ff_duty: int, error_mk: int, signal_mk: int) -> int:
        """Once a tick. Duty 0 .. DUTY_MAX."""
        self._choose_row(plan_ms)
        self._differentiate(signal_mk)
        self._error_mk = error_mk
        direct = ff_duty + self._proportional() + self._derivative()
        self._integrate(direct)
        return clamp(direct + self._integral, 0, DUTY_MAX)

    def _cell(self, column: int) -> int:
        return self._gains[self._row + column]

    def _choose_row(self, plan_ms: int) -> None:
        following = self._row + GAINS_WIDTH
        while following < len(self._gains) and self._gains[following] <= plan_ms:
            self._change_row(following)
            following += GAINS_WIDTH

    def _change_row(self, row: int) -> None:
        """Bumpless: the integral takes over what the new gains no longer give.

        Not of the derivative: at one moment it is mostly the noise of the sensor, and that would
        stay in the integral long after.
        """
        before = self._proportional()
        self._row = row
        bump = before - self._proportional()
        self._integral = clamp(self._integral + bump, -INTEGRAL_MAX, INTEGRAL_MAX)
        self._integral_rest = 0

    def _proportional(self) -> int:
        return self._ratio.nearest(self._error_mk, self._cell(KP), 1 << self._cell(SHIFT))

    def _derivative(self) -> int:
        return self._ratio.nearest(-self._slope_mk_s, self._cell(KD), 1 << self._cell(SHIFT))

    def _differentiate(self, signal_mk: int) -> None:
        """Slope of the signal behind its filter; the first tick only remembers."""
        change_mk = signal_mk - self._signal_mk if self._begun else 0
        self._begun = True
        self._signal_mk = signal_mk
        slope = clamp(change_mk * TICKS_A_SECOND, -SLOPE_MAX_MK_S, SLOPE_MAX_MK_S)
        lag_ms = self._cell(TF_MS) + TICK_MS
        toward = slope - self._slope_mk_s
        self._slope_mk_s += self._ratio.of(toward, TICK_MS, lag_ms, self._slope_rest % lag_ms)
        self._slope_rest = self._ratio.rest

    def _integrate(self, direct: int) -> None:
        """Conditional: not further out of the range that the heater has."""
        scale = TICKS_A_SECOND << self._cell(SHIFT)
        step = self._ratio.of(self._error_mk, self._cell(KI), scale, self._integral_rest)
        wanted = direct + self._integral + step
        if (wanted > DUTY_MAX and step > 0) or (wanted < 0 and step < 0):
            return
        self._integral = clamp(self._integral + step, -INTEGRAL_MAX, INTEGRAL_MAX)
        self._integral_rest = self._ratio.rest
