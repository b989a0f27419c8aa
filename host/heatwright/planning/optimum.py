"""The trajectory by constrained optimisation: duty and length of the heating in windows.

Direct shooting: the unknowns are the duty at evenly spaced knots and the length of the heating; the
source is simulated whole for each trial. Every window that the first guess holds must stay held;
the margins of all are made as large as they get, the smallest first. A window that the guess misses
may not get worse, and is pulled in as far as it comes.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any

import numpy as np

from heatsim.physics import State
from heatwright.judging.curves import first_reach
from heatwright.judging.windows import Measure
from heatwright.planning import trajectory
from heatwright.planning.model import BOARD, Model
from heatwright.planning.trajectory import Trajectory
from heatwright.planning.tuning import Floats
from heatwright.planning.wanted import Wanted
from heatwright.planning.windows import bead_windows_of, course_windows, share

Key = tuple[str, str | None, bool]

# Duty is free at so many knots: half a minute apart on the slowest sources, 15 s on the usual ones.
FEWEST_KNOTS, MOST_KNOTS, KNOT_S = 16, 26, 18.0
# A margin of one more of these, as a share of the window, is worth a third of the one before.
MARGIN = 0.1
# A joint or a part that is lost weighs more than one that is only less than it could be. Too long
# above liquidus loses none, and a peak in its window is never above it for too short.
DECISIVE = 3.0
DECISIVE_NAMES = ("peak", "large_part_peak", "small_part_peak", "part_peak", "sensor_peak")
# What a smooth duty and power in reserve are worth against margins; and windows out of reach: of
# one that decides the worth goes on growing as steeply below nought, of another it hardly does.
# The smoother the duty, the less a source that is not as its file says strays from the course.
ROUGHNESS, RESERVE, PULL, DECISIVE_PULL = 1.0, 2.0, 1.0, 10.0
# Of the power that may be used, this share costs nothing.
FREE_SHARE = 0.7
# Duty changes no faster than this: an element takes some ten seconds to follow in any case.
SLEW_A_SECOND = 0.05
LENGTH_RANGE = (0.7, 1.6)
# Steps of the differences: small for the model, large for its rounding.
STEP = 1e-4
MOST_STEPS = 40
GOOD_ENOUGH = 1e-4


@dataclass(frozen=True)
class Shooting:
    """One way to heat and to end it; ``most_duty`` keeps the headroom."""

    model: Model
    start: State
    wanted: Wanted
    opens_door: bool
    most_duty: float
    length_s: float

    @property
    def knots(self) -> int:
        return int(np.clip(round(self.length_s / KNOT_S), FEWEST_KNOTS, MOST_KNOTS)) + 1

    def knots_of(self, x: Floats) -> tuple[Floats, Floats]:
        """Times and duties of the unknowns."""
        return np.linspace(0.0, self.length_s * float(x[-1]), self.knots), x[:-1]

    def fly(self, x: Floats) -> Trajectory:
        """The whole course for these unknowns: duty at the knots, then length as a ratio."""
        time_s, duty = self.knots_of(x)
        liquidus_c = self.wanted.paste.above_c
        return trajectory.flown(
            self.model, self.start, time_s, duty, self.opens_door, liquidus_c, []
        )

    def shares(self, x: Floats) -> dict[Key, float]:
        """The margin of every window, as a share of it."""
        return shares(self.fly(x), self.wanted)


def shares(found: Trajectory, wanted: Wanted) -> dict[Key, float]:
    """The margin of every window of a course, as a share of it; those of the bead too, if read."""
    measures = [(m, False) for m in course_windows(found, wanted)]
    if wanted.reads == "board_sensor":
        measures += [(m, True) for m in bead_windows_of(found.fine_s, found.fine, wanted)]
    return {key: s for key, s in (_keyed(m, bead) for m, bead in measures) if s is not None}


def _keyed(m: Measure, bead: bool) -> tuple[Key, float | None]:
    return (m.name, m.part, bead), share(m)


def polished(shooting: Shooting, guess: Trajectory, steps: int = MOST_STEPS) -> Trajectory:
    """The best course near the guess, by sequential quadratic programming (SLSQP)."""
    from scipy.optimize import minimize

    first = _first(shooting, guess)
    problem = _Problem(shooting, shooting.shares(first))
    size = shooting.knots
    slew = {"type": "ineq", "fun": problem.slews, "jac": problem.slews_slope}
    rooms = {"type": "ineq", "fun": problem.rooms, "jac": problem.rooms_slope}
    constraints: Any = [rooms, slew]
    found = minimize(
        problem.cost,
        first,
        jac=problem.cost_slope,
        method="SLSQP",
        bounds=[(0.0, shooting.most_duty)] * size + [LENGTH_RANGE],
        constraints=constraints,
        options={"maxiter": steps, "ftol": GOOD_ENOUGH},
    )
    x = np.append(np.clip(found.x[:-1], 0.0, shooting.most_duty), found.x[-1])
    return _named(shooting.fly(x), shooting.wanted)


def _first(shooting: Shooting, guess: Trajectory) -> Floats:
    even_s = np.linspace(0.0, guess.cut_s, shooting.knots)
    hot = guess.time_s <= guess.cut_s
    duty = np.interp(even_s, guess.time_s[hot], guess.duty[hot])
    return np.append(np.clip(duty, 0.0, shooting.most_duty), guess.cut_s / shooting.length_s)


class _Problem:
    """Costs and constraints for the solver; slopes by differences."""

    def __init__(self, shooting: Shooting, before: dict[Key, float]) -> None:
        self._shooting = shooting
        self._held = [key for key, value in before.items() if value >= 0]
        self._missed = {key: value for key, value in before.items() if value < 0}
        order = [*self._held, *self._missed]
        self._weights = np.array([DECISIVE if key[0] in DECISIVE_NAMES else 1.0 for key in order])
        self._pull = np.where(self._weights > 1.0, DECISIVE_PULL, PULL)
        self._least = np.array([0.0] * len(self._held) + list(self._missed.values()))
        # the solver asks for values and slopes at one point one after the other
        self._at = lru_cache(maxsize=64)(self._values)
        self._slope_at = lru_cache(maxsize=4)(self._slopes)

    def cost(self, x: Floats) -> float:
        values = self._at(x.tobytes())
        inside = np.exp(-np.maximum(values, 0.0) / MARGIN)
        outside = self._pull * np.minimum(values, 0.0)
        return float(self._weights @ (inside - outside) + self._duty_cost(x[:-1]))

    def cost_slope(self, x: Floats) -> Floats:
        values, slopes = self._at(x.tobytes()), self._slope_at(x.tobytes())
        inside = np.exp(-np.maximum(values, 0.0) / MARGIN) / MARGIN
        worth = self._weights * np.where(values >= 0.0, inside, self._pull)
        slope: Floats = -worth @ slopes
        slope[:-1] += self._duty_cost_slope(x[:-1])
        return slope

    def _duty_cost(self, duty: Floats) -> float:
        rough = (np.diff(duty, n=2) ** 2).sum()
        return float(ROUGHNESS * rough + RESERVE * np.mean(self._over(duty) ** 2))

    def _duty_cost_slope(self, duty: Floats) -> Floats:
        rough: Floats = 2.0 * ROUGHNESS * np.convolve(np.diff(duty, n=2), [1.0, -2.0, 1.0])
        return rough + 2.0 * RESERVE * self._over(duty) / len(duty)

    def _over(self, duty: Floats) -> Floats:
        found: Floats = np.maximum(duty - FREE_SHARE * self._shooting.most_duty, 0.0)
        return found

    def rooms(self, x: Floats) -> Floats:
        """What each window leaves; of a missed one, above where it began."""
        found: Floats = self._at(x.tobytes()) - self._least
        return found

    def rooms_slope(self, x: Floats) -> Floats:
        return self._slope_at(x.tobytes())

    def slews(self, x: Floats) -> Floats:
        step = SLEW_A_SECOND * self._shooting.length_s / (self._shooting.knots - 1)
        change = np.diff(x[:-1])
        return np.concatenate([step - change, step + change])

    def slews_slope(self, x: Floats) -> Floats:
        change = np.diff(np.eye(len(x))[:-1], axis=0)
        return np.concatenate([-change, change])

    def _values(self, data: bytes) -> Floats:
        found = self._shooting.shares(np.frombuffer(data))
        # a window that this course does not reach at all is missed by its own width
        return np.array([found.get(key, -1.0) for key in (*self._held, *self._missed)])

    def _slopes(self, data: bytes) -> Floats:
        x = np.frombuffer(data)
        here = self._at(data)
        moved = [self._at((x + STEP * one).tobytes()) for one in np.eye(len(x))]
        return np.stack([(values - here) / STEP for values in moved], axis=1)


def _named(found: Trajectory, wanted: Wanted) -> Trajectory:
    """The stages begin where the board passes the paste's own temperatures."""
    window = wanted.paste.window
    edges = (
        ("soak", window.soak_c.low),
        ("ramp_up", window.soak_c.high),
        ("reflow", wanted.paste.above_c),
    )
    passed = [(first_reach(found.fine_s, found.fine[:, BOARD], c), name) for name, c in edges]
    starts = [(0.0, "preheat"), *((at_s, name) for at_s, name in passed if at_s is not None)]
    return replace(found, starts=[*starts, found.starts[-1]])
