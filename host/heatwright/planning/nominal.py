"""A profile and a fitted source make a plan that this source can follow: the nominal planner.

Everything is tried on the nominal source: shut door before open door, power with headroom before
full power, the profile's own peak or a lower one. The curve that lies best in the paste's windows
is taken.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import product

import numpy as np

from heatcore.limits import SENSOR_MAX_MC
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
from heatwright.planning.trajectory import End, Heating, Moment, Trajectory, board_of, finish, heat
from heatwright.planning.tuning import Floats, Gains, simc

# Mains 10 % low leaves 81 % of the power: a plan that uses no more can still be followed.
HEADROOMS = (0.81, 0.9, 1.0)
# Where the profile is the paste's own, its peak may lie anywhere here in the paste's window.
PEAK_SHARES = (0.6, 0.45, 0.3)
# The course runs on above the peak, so that the board gets there at the full rate.
PUSH_K = 10.0
# A margin of this share of a window is as good as any more: the source itself varies by less.
WELL_INSIDE = 0.1
# A joint that is lost weighs more than one that is only less than it could be.
FAIL_WEIGHT = 5.0
# What giving up a step of headroom must gain: less than a window missed, more than a closer fit.
HEADROOM_COST = 0.1
# The controller stops above its own limit; a source that varies must stay this far below it.
SENSOR_ROOM_K = 20.0
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

    @property
    def peaks_c(self) -> list[float]:
        """The peaks to choose from, highest first."""
        if not self.peak_may_move:
            return [self.profile.peak_c]
        low_c, high_c = self.paste.window.peak_c
        return [low_c + share * (high_c - low_c) for share in PEAK_SHARES]

    @property
    def holds_peak(self) -> bool:
        return [s.hold_s > 0 for s in self.profile.stages if s.name != "ramp_down"][-1]


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


@dataclass(frozen=True)
class _Candidate:
    """``bead`` holds the same measures of what a bead on the board would show, if that is read."""

    trajectory: Trajectory
    measures: list[Measure]
    bead: list[Measure]
    headroom: float

    @property
    def score(self) -> float:
        """How well the curve lies in the windows; more room than enough counts for nothing."""
        cost = HEADROOM_COST * HEADROOMS.index(self.headroom)
        return min(_fit(self.measures), _fit(self.bead)) - cost

    @property
    def is_well_inside(self) -> bool:
        return all(_share(m) >= WELL_INSIDE for m in self.measures + self.bead)


def plan_for_source(params: PlantParams, wanted: Wanted) -> Planned:
    """Make a `track` plan for this source. Raises `Infeasible`."""
    warm = warmed(params, wanted.ambient_c, sum(wanted.paste.window.soak_c) / 2)
    horizon_s = float(np.clip(DEAD_TIMES_AHEAD * step_model(warm, "board").dead_s, *HORIZON_S))
    best = _best(params, wanted, horizon_s)
    found = best.trajectory
    sensor_c = found.board_sensor_c if wanted.reads == "board_sensor" else found.sensor_c
    _check_sensor(float(sensor_c.max()))
    gains = tuned(warm, wanted.reads)
    data = plan_file.track(found, sensor_c, gains, wanted.profile.name)
    return Planned(data, best.measures, found)


def plan_without_source(wanted: Wanted, gains: Gains = plan_file.CAREFUL) -> Planned:
    """Make a `setpoint` plan: the profile's own line, by default with gains no source minds."""
    return Planned(plan_file.setpoint(wanted.profile, wanted.paste.window.peak_c.high, gains), [])


def tuned(warm: Plant, node: str) -> Gains:
    """Gains for this source where it stands, the sensor at this node of it."""
    model = step_model(warm, node)
    return simc(model, max(model.dead_s, QUICKEST_CLOSED_S))


def _best(params: PlantParams, wanted: Wanted, horizon_s: float) -> _Candidate:
    tried: list[_Candidate] = []
    highest_c = wanted.ambient_c
    for headroom in HEADROOMS:
        how = Heating(wanted.peaks_c[0], headroom, horizon_s, KNOTS_S[0], wanted.holds_peak)
        moments, found = _candidates(params, wanted, how)
        highest_c = max(highest_c, *(moment.board_c for moment in moments))
        tried += found
        if any(candidate.is_well_inside for candidate in found):
            break
    if not tried:
        raise Infeasible(_too_weak(wanted, highest_c))
    # of two that are as good the first one stands: shut door before open door
    return max(tried, key=lambda candidate: round(candidate.score, 6))


def _candidates(
    params: PlantParams, wanted: Wanted, how: Heating
) -> tuple[list[Moment], list[_Candidate]]:
    """Heat once, end it in every way there is; with fewer knots where a plan can't hold them."""
    for knot_s in KNOTS_S:
        spaced = replace(how, knot_s=knot_s)
        moments, course = _heated(params, wanted, spaced)
        ends = [End(peak_c, door) for door, peak_c in product((False, True), wanted.peaks_c)]
        ways = [finish(moments, course, spaced, end, wanted.paste.above_c) for end in ends]
        found = [way for way in ways if way is not None]
        if all(len(way.time_s) <= KNOTS_MAX for way in found):
            break
    return moments, [_candidate(way, wanted, how) for way in found]


def _candidate(way: Trajectory, wanted: Wanted, how: Heating) -> _Candidate:
    measures = _measures(way, way.board_c, wanted.paste)
    reads_board = wanted.reads == "board_sensor"
    # the verdict is judged on the bead, which reads some kelvin beside the board
    bead = _measures(way, way.board_sensor_c, wanted.paste) if reads_board else measures
    return _Candidate(way, measures, bead, how.headroom)


def _heated(params: PlantParams, wanted: Wanted, how: Heating) -> tuple[list[Moment], Course]:
    plant = Plant(params)
    plant.reset(wanted.ambient_c, wanted.start_c)
    last_c = how.highest_c + (0.0 if how.holds_peak else PUSH_K)
    course = Course(wanted.profile, board_of(plant), last_c)
    return heat(plant, course, how), course


def _measures(found: Trajectory, curve_c: Floats, paste: Paste) -> list[Measure]:
    time_s = np.arange(0.0, found.time_s[-1], 1.0)
    return measure(time_s, np.interp(time_s, found.time_s, curve_c), paste)


def _fit(measures: list[Measure]) -> float:
    return sum(min(_share(m), WELL_INSIDE) * _weight(m) for m in measures)


def _share(m: Measure) -> float:
    """The margin as a share of the window, or of its only end."""
    if m.margin is None:
        return WELL_INSIDE
    ends = [end for end in (m.low, m.high) if end is not None]
    width = ends[-1] - ends[0] if len(ends) == 2 else abs(ends[0])
    return m.margin / max(width, 1e-9)


def _weight(m: Measure) -> float:
    return FAIL_WEIGHT if m.status == "fail" else 1.0


def _check_sensor(highest_c: float) -> None:
    limit_c = SENSOR_MAX_MC / 1000
    if highest_c > limit_c - SENSOR_ROOM_K:
        raise Infeasible(sentences.SENSOR_TOO_HOT.format(found_c=highest_c, limit_c=limit_c))


def _too_weak(wanted: Wanted, highest_c: float) -> str:
    return sentences.OUT_OF_REACH.format(
        highest_c=highest_c, peak_c=min(wanted.peaks_c), paste=wanted.paste.name
    )
