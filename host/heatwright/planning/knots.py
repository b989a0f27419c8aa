"""The knots of a plan: where they stand, and the straight lines between them that come nearest."""

from __future__ import annotations

import numpy as np

from heatwright.planning.tuning import Floats

COOL_STEP_S = 0.5
# Straight lines of this length are within 0.2 K of any source's course; a plan holds so many.
FINE_S, MOST_HOT_KNOTS = 6.0, 60


def finer(time_s: Floats) -> Floats:
    """Knots between those of duty: the sensor's course bends between them."""
    pieces = max(round(float(np.max(np.diff(time_s))) / FINE_S), 1)
    while pieces > 1 and pieces * (len(time_s) - 1) >= MOST_HOT_KNOTS:
        pieces -= 1
    at = np.arange(pieces * (len(time_s) - 1) + 1) / pieces
    return np.interp(at, np.arange(len(time_s)), time_s)


def cooling_knots(rows: int) -> Floats:
    """Cooling moves fast at first, when heat ends and the door opens, and slowly later."""
    end_s = COOL_STEP_S * (rows - 1)
    knots = [*range(1, 7), *range(9, 19, 3), *range(24, 61, 6), *range(75, 600, 30)]
    return np.array([float(s) for s in knots if s < end_s - 1.0] + [end_s])


def at_knots(
    knots_s: Floats, hot: int, heating: tuple[Floats, Floats], cooling: tuple[Floats, Floats]
) -> Floats:
    """Each node at the knots: of the first so many the nearest lines, of the others the course."""
    cold_s, cold = cooling
    rows = [np.interp(knots_s[hot:], cold_s, column) for column in cold.T]
    return np.concatenate([_nearest(knots_s[:hot], *heating), np.stack(rows, axis=1)])


def _nearest(knots_s: Floats, time_s: Floats, states: Floats) -> Floats:
    """The straight lines between knots that come nearest: chords lie to one side of each bend.

    Both ends are the course's own: it starts from there, and bends sharply where heating ends.
    """
    hats = np.array([np.interp(time_s, knots_s, hat) for hat in np.eye(len(knots_s))]).T
    others = states - hats[:, [0, -1]] @ states[[0, -1]]
    found = np.linalg.lstsq(hats[:, 1:-1], others, rcond=None)[0]
    return np.concatenate([states[:1], found, states[-1:]])
