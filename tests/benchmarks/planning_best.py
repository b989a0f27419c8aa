"""The best that duty can do on one source whose every number is known: no sensor, no noise.

Gauss-Newton over hats of duty within its bounds (SciPy's `lsq_linear`), until nothing is gained.
"""

import numpy as np
from scipy.optimize import lsq_linear

from heatsim.plant import NODES
from heatwright.planning.model import Model
from heatwright.planning.trajectory import DOOR_DELAY_S, MOST_DUTY, opened

STEP_S, HAT_S, STEPS = 0.5, 12.0, 5
NUDGE_DUTY, EFFORT_K = 0.02, 0.05
CUT_RAMP_S, AFTER_PEAK_S = 1.0, 15.0
BOARD, BEAD = NODES.index("board"), NODES.index("board_sensor")


class Best:
    """The course of one plan on one source, as near as the source can come to it."""

    def __init__(self, plan, params):
        self.plan, self.model = plan, Model(params)
        self.knots_s = np.array(plan.t_ms) / 1000
        self.cut_s = float(self.knots_s[np.flatnonzero(plan.u)[-1]])
        end_s = float(self.knots_s[np.argmax(plan.b_mc)]) + AFTER_PEAK_S
        self.time_s = STEP_S * np.arange(round(end_s / STEP_S) + 1)
        middles_s = self.time_s[:-1] + STEP_S / 2
        cue_s = plan.door_cue_ms / 1000 if plan.door_cue_ms >= 0 else np.inf
        self.door = opened(middles_s, cue_s + DOOR_DELAY_S, STEP_S)
        at_s = np.linspace(0.0, self.cut_s, round(self.cut_s / HAT_S) + 1)
        ends_s = np.append(at_s, self.cut_s + CUT_RAMP_S)
        shapes = np.eye(len(at_s), len(ends_s))
        self.hats = np.array([np.interp(middles_s, ends_s, one, right=0.0) for one in shapes])
        self.first = np.clip(np.interp(at_s, self.knots_s, plan.u) / 10_000, 0.0, MOST_DUTY)

    def clairvoyant(self):
        """Hot RMS of the board, K, where all that comes is known."""
        return self._hot_rms(self._solved(BOARD, self._board_c(), self.time_s[-1]))

    def bead_followed(self, known):
        """The same where a bead is, until heating ends, exactly where the source as it is known
        would have it."""
        planned = Best(self.plan, known)
        states = planned._fly(planned.first)
        wanted_c = self._board_c() + states[:, BEAD] - states[:, BOARD]
        return self._hot_rms(self._solved(BEAD, wanted_c, self.cut_s))

    def _solved(self, node, wanted_c, until_s):
        watched = self.time_s <= until_s
        duty, found = self.first, []
        for _ in range(STEPS):
            states = self._fly(duty)
            off_k = (wanted_c - states[:, node])[watched]
            found.append((float(np.mean(off_k**2)), states))
            duty = np.clip(duty + self._step(duty, states, node, watched, off_k), 0.0, MOST_DUTY)
        return min(found, key=lambda one: one[0])[1]

    def _step(self, duty, states, node, watched, off_k):
        nudges = NUDGE_DUTY * np.eye(len(duty))
        moved = [self._fly(duty + one)[:, node] - states[:, node] for one in nudges]
        effect = np.array(moved).T[watched] / NUDGE_DUTY
        rows = np.concatenate([effect, EFFORT_K * np.eye(len(duty))])
        bounds = (-duty - 1e-9, MOST_DUTY - duty + 1e-9)
        return lsq_linear(rows, np.append(off_k, np.zeros(len(duty))), bounds).x

    def _fly(self, duty):
        return self.model.run(self.model.start(), duty @ self.hats, self.door, STEP_S)

    def _board_c(self):
        return np.interp(self.time_s, self.knots_s, np.array(self.plan.b_mc) / 1000)

    def _hot_rms(self, states):
        hot = 1000 * self.time_s >= self.plan.stages[2]
        return float(np.sqrt(np.mean((states[:, BOARD] - self._board_c())[hot] ** 2)))
