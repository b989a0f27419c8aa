"""A profile and a fitted source make a plan that this source can follow: the nominal planner.

Everything is tried on the nominal source: shut door before open door, gentle power before full
power, the profile's own peak before a lower one. The first trajectory whose board lies well
inside the paste's windows is taken, else the one that comes nearest.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import product

import numpy as np

from heatcore.plan import KNOTS_MAX
from heatsim.params import PlantParams
from heatsim.plant import Plant
from heatwright import sentences
from heatwright.documents.paste import Paste
from heatwright.documents.profile import Profile
from heatwright.errors import EXIT_VERDICT, HeatwrightError
from heatwright.judging.measures import measure
from heatwright.judging.windows import Measure
from heatwright.planning import plan_file
from heatwright.planning.course import Course
from heatwright.planning.response import step_model, warmed
from heatwright.planning.trajectory import (
    OutOfReach,
    Task,
    Trajectory,
    board_of,
    plan_trajectory,
)
from heatwright.planning.tuning import simc

# Never above 9,800 of 10,000, so that each second has an off-slot.
MOST_DUTY = 0.98
# Mains 10 % low leaves 81 % of the power: a plan that uses no more can still be followed.
HEADROOMS = (0.81, 0.9, 1.0)
# Where the profile is the paste's own, its peak may move this far down the paste's window.
PEAK_SHARES = (0.55, 0.3)
# The course runs on above the peak, so that the board gets there at the full rate.
PUSH_K = 10.0
# A margin of this share of a window is as good as any more: the source itself varies by less.
WELL_INSIDE = 0.1
# Two dead times ahead is as near as a change of duty can be seen whole.
DEAD_TIMES_AHEAD = 2.0
HORIZON_S = (15.0, 90.0)
# A knot every five seconds is finer than any source here can move; slow ones get by with fewer.
KNOTS_S = (5.0, 8.0, 13.0, 20.0)
# A source quicker than this would make gains that only follow the sensor's noise.
QUICKEST_CLOSED_S = 8.0


class Infeasible(HeatwrightError):
    """No plan takes this board on this source to where it must go."""

    exit_code = EXIT_VERDICT


@dataclass(frozen=True)
class Wanted:
    """What a plan is made of. ``reads`` is the plant's node that the controller's sensor reads."""

    paste: Paste
    profile: Profile
    peak_may_move: bool = False
    reads: str = "sensor"
    ambient_c: float = 25.0
    start_c: float | None = None


@dataclass(frozen=True)
class Planned:
    """The plan's bytes, and what the nominal source does with it (None where none is known)."""

    plan: bytes
    measures: list[Measure]
    trajectory: Trajectory | None = None

    @property
    def outside(self) -> list[Measure]:
        """The measures that the board misses even on the nominal source."""
        return [m for m in self.measures if m.margin is not None and m.margin < 0]


def plan_for_source(params: PlantParams, wanted: Wanted) -> Planned:
    """Make a `track` plan for this source. Raises `Infeasible`."""
    warm = warmed(params, wanted.ambient_c, sum(wanted.paste.window.soak_c) / 2)
    horizon_s = float(np.clip(DEAD_TIMES_AHEAD * step_model(warm, "board").dead_s, *HORIZON_S))
    found, measures = _best(params, wanted, horizon_s)
    model = step_model(warm, wanted.reads)
    gains = simc(model, max(model.dead_s, QUICKEST_CLOSED_S))
    sensor_c = found.board_sensor_c if wanted.reads == "board_sensor" else found.sensor_c
    return Planned(plan_file.track(found, sensor_c, gains, wanted.profile.name), measures, found)


def plan_without_source(wanted: Wanted) -> Planned:
    """Make a `setpoint` plan: the profile's own line, gains that no source here minds."""
    return Planned(plan_file.setpoint(wanted.profile, wanted.paste.window.peak_c.high), [])


def _best(
    params: PlantParams, wanted: Wanted, horizon_s: float
) -> tuple[Trajectory, list[Measure]]:
    best: tuple[float, Trajectory, list[Measure]] | None = None
    highest_c = wanted.ambient_c
    for task in _tasks(wanted, horizon_s):
        try:
            found = _trajectory(params, wanted, task)
        except OutOfReach as short:
            highest_c = max(highest_c, short.highest_c)
            continue
        measures = _measures(found, wanted.paste)
        room = _room(measures)
        if best is None or room > best[0] + 1e-9:
            best = (room, found, measures)
        if room >= WELL_INSIDE:
            break
    if best is None:
        raise Infeasible(_too_weak(wanted, highest_c))
    return best[1], best[2]


def _tasks(wanted: Wanted, horizon_s: float) -> Iterator[Task]:
    liquidus_c = wanted.paste.above_c
    holds = [s.hold_s > 0 for s in wanted.profile.stages if s.name != "ramp_down"][-1]
    for opens_door, headroom, peak_c in product((False, True), HEADROOMS, _peaks(wanted)):
        most_duty = MOST_DUTY * headroom
        yield Task(peak_c, liquidus_c, most_duty, horizon_s, opens_door, holds)


def _peaks(wanted: Wanted) -> list[float]:
    if not wanted.peak_may_move:
        return [wanted.profile.peak_c]
    low_c, high_c = wanted.paste.window.peak_c
    return [low_c + share * (high_c - low_c) for share in PEAK_SHARES]


def _trajectory(params: PlantParams, wanted: Wanted, task: Task) -> Trajectory:
    plant = Plant(params)
    last_c = task.peak_c + (0.0 if task.holds_peak else PUSH_K)
    for knot_s in KNOTS_S:
        plant.reset(wanted.ambient_c, wanted.start_c)
        course = Course(wanted.profile, board_of(plant), last_c)
        found = plan_trajectory(plant, course, replace(task, knot_s=knot_s))
        if len(found.time_s) <= KNOTS_MAX:
            break
    return found


def _measures(found: Trajectory, paste: Paste) -> list[Measure]:
    time_s = np.arange(0.0, found.time_s[-1], 1.0)
    return measure(time_s, np.interp(time_s, found.time_s, found.board_c), paste)


def _room(measures: list[Measure]) -> float:
    """The smallest margin as a share of its window; each window missed counts whole as well."""
    shares = [_share(m) for m in measures if m.margin is not None]
    return min(shares) - sum(share < 0 for share in shares)


def _share(m: Measure) -> float:
    ends = [end for end in (m.low, m.high) if end is not None]
    width = ends[-1] - ends[0] if len(ends) == 2 else abs(ends[0])
    return (m.margin or 0.0) / max(width, 1e-9)


def _too_weak(wanted: Wanted, highest_c: float) -> str:
    return sentences.OUT_OF_REACH.format(
        highest_c=highest_c, peak_c=min(_peaks(wanted)), paste=wanted.paste.name
    )
