"""A profile and a fitted source make a plan that this source can follow: the planner.

Power with headroom comes before full power, a shut door before an open one. Each way to heat and to
end it is guessed along the profile; the best guess is then optimised in the paste's windows and
the parts' limits. A person's own profile is followed as it is asked for, as near as the source can.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import product

import numpy as np

from heatsim.params import PlantParams
from heatsim.physics import State
from heatsim.plant import NODES
from heatwright import sentences
from heatwright.errors import EXIT_VERDICT, HeatwrightError
from heatwright.judging.windows import Measure
from heatwright.planning import optimum, plan_file, warm
from heatwright.planning.course import Course
from heatwright.planning.knots import MOST_HOT_KNOTS
from heatwright.planning.model import BOARD, Model
from heatwright.planning.optimum import Shooting, polished
from heatwright.planning.response import WARMING_DUTY, step_model, warmed
from heatwright.planning.schedule import Row, gain_rows, row_at
from heatwright.planning.trajectory import (
    End,
    Heating,
    Moment,
    Trajectory,
    finish,
    flown,
    heat,
)
from heatwright.planning.tuning import Gains
from heatwright.planning.wanted import Wanted
from heatwright.planning.windows import (
    SENSOR_LIMIT_C,
    SENSOR_ROOM_K,
    course_windows,
    is_decisive,
    is_missed,
)

# Mains 10 % low leaves 81 % of the power: a plan that uses no more can still be followed, one that
# uses 76 % on a source that is 6 % weaker than its file too, and 70 % on one of which only the kind
# is known.
HEADROOMS = (0.7, 0.76, 0.81, 0.9, 1.0)
# More than this is used for a joint that would be lost otherwise, for nothing else.
WEAK_MAINS = 0.81
# The course runs on above the peak, so that the board gets there at the full rate.
PUSH_K = 10.0
# A margin of this share of a window is as good as any more: the source itself varies by less.
WELL_INSIDE = 0.1
# A joint that is lost weighs more than one that is only less than it could be.
FAIL_WEIGHT = 5.0
# What giving up a step of headroom must gain: a joint, or two windows, but not a closer fit.
HEADROOM_COST, MISSED_COST = 0.5, 0.3
# Two dead times ahead is as near as a change of duty can be seen whole.
DEAD_TIMES_AHEAD = 2.0
HORIZON_S = (15.0, 90.0)
# A knot every five seconds is finer than any source here can move; slow ones get by with fewer.
FINEST_KNOT_S = 5.0


class Infeasible(HeatwrightError):
    """No plan takes this board on this source to where it must go.

    ``measures`` are those of the best attempt, where the source is too weak.
    """

    exit_code = EXIT_VERDICT

    def __init__(self, text: str, measures: Sequence[Measure] = ()) -> None:
        self.measures = measures
        super().__init__(text)


@dataclass(frozen=True)
class Planned:
    """The plan's bytes, and what the nominal source does with it (None where none is known)."""

    plan: bytes
    measures: list[Measure]
    trajectory: Trajectory | None = None
    headroom: float = 1.0
    rows: tuple[Row, ...] = ()

    @property
    def outside(self) -> list[Measure]:
        """The measures that the board misses even on the nominal source."""
        return [m for m in self.measures if is_missed(m)]

    @property
    def is_feasible(self) -> bool:
        """Whether joints come out and nothing is harmed: no decisive window is missed."""
        return not any(is_missed(m) and is_decisive(m) for m in self.measures)


@dataclass(frozen=True)
class _Candidate:
    """One way to heat and to end it, with the margins of all its windows."""

    trajectory: Trajectory
    shares: dict[optimum.Key, float]
    shooting: Shooting
    headroom: float

    @property
    def score(self) -> float:
        """How well the curve lies in the windows; more room than enough counts for nothing."""
        cost = HEADROOM_COST * HEADROOMS.index(self.headroom)
        return sum(_weight(key) * _worth(s) for key, s in self.shares.items()) - cost

    @property
    def is_safe(self) -> bool:
        """Whether joints come out and nothing is harmed, as far as the weights know."""
        return all(s >= 0 for key, s in self.shares.items() if key[0] in optimum.DECISIVE_NAMES)

    @property
    def is_well_inside(self) -> bool:
        return all(s >= WELL_INSIDE for s in self.shares.values())


def plan_for_source(params: PlantParams, wanted: Wanted) -> Planned:
    """Make a `track` plan for this source. Raises `Infeasible`."""
    model = Model(params, wanted.ambient_c)
    best = best_course(model, wanted)
    found = best.trajectory
    measures = course_windows(found, wanted)
    _check_sensor(measures)
    rows = gain_rows(model, found, wanted.reads)
    gains = [(row.from_s, row.gains) for row in rows]
    data = plan_file.track(
        found,
        wanted.reads,
        gains,
        wanted.profile.name,
        _is_lifted(params, found),
        _beginning(model, wanted),
    )
    return Planned(data, measures, found, best.headroom, tuple(rows))


def _beginning(model: Model, wanted: Wanted) -> plan_file.Beginning:
    armed_c = warm.laid(model, wanted)[NODES.index(wanted.reads)]
    return plan_file.Beginning(armed_c, 0 if wanted.is_warm else plan_file.REST_S)


def plan_without_source(wanted: Wanted, gains: Gains = plan_file.CAREFUL) -> Planned:
    """Make a `setpoint` plan: the profile's own line, by default with gains no source minds."""
    return Planned(plan_file.setpoint(wanted.profile, wanted.paste.window.peak_c.high, gains), [])


def best_course(
    model: Model,
    wanted: Wanted,
    headrooms: Sequence[float] = HEADROOMS,
    steps: int = optimum.MOST_STEPS,
) -> _Candidate:
    """The course that lies best in the windows, after so many steps. Raises `Infeasible`."""
    tried: list[_Candidate] = []
    start = warm.started(model, wanted)
    horizon_s = _horizon_s(model, wanted)
    for headroom in headrooms:
        if headroom > WEAK_MAINS and any(one.is_safe for one in tried):
            break
        how = Heating(wanted.peaks_c[0], headroom, horizon_s, FINEST_KNOT_S, wanted.holds_peak)
        moments, guesses = _guesses(model, start, wanted, how)
        if guesses:
            tried += _improved_ways(guesses, wanted, steps)
            if tried[-1].is_well_inside:
                break
    if not tried:
        raise _too_weak(model, wanted, moments)
    return max(tried, key=_rounded_score)


def _rounded_score(candidate: _Candidate) -> float:
    # of two that are as good the first one stands: shut door before open door
    return round(candidate.score, 6)


def _horizon_s(model: Model, wanted: Wanted) -> float:
    warm = warmed(model, sum(wanted.paste.window.soak_c) / 2)
    return float(np.clip(DEAD_TIMES_AHEAD * step_model(model, warm, "board").dead_s, *HORIZON_S))


def _guesses(
    model: Model, start: State, wanted: Wanted, how: Heating
) -> tuple[list[Moment], list[_Candidate]]:
    """Heat once, end it in every way there is."""
    moments, course, spaced = _heated(model, start, wanted, how)
    found = []
    for opens_door, peak_c in product((False, True), wanted.peaks_c):
        end = End(peak_c, opens_door)
        way = finish(model, moments, course, spaced, end, wanted.paste.above_c)
        if way is not None:
            shooting = Shooting(model, start, wanted, opens_door, how.most_duty, way.cut_s)
            found.append(_candidate(way, shooting, how.headroom))
    return moments, found


def _candidate(way: Trajectory, shooting: Shooting, headroom: float) -> _Candidate:
    return _Candidate(way, optimum.shares(way, shooting.wanted), shooting, headroom)


def _improved_ways(guesses: Sequence[_Candidate], wanted: Wanted, steps: int) -> list[_Candidate]:
    """The optimum near the best guess; where that harms, also near the best of the other end."""
    best = max(guesses, key=_rounded_score)
    found = [_improved(best, wanted, steps)]
    others = [one for one in guesses if one.shooting.opens_door != best.shooting.opens_door]
    if others and not found[0].is_safe:
        found.append(_improved(max(others, key=_rounded_score), wanted, steps))
    return found


def _improved(guess: _Candidate, wanted: Wanted, steps: int) -> _Candidate:
    """The optimum near the guess; a person's own profile stays as it was asked for."""
    if not wanted.peak_may_move:
        return guess
    better = polished(guess.shooting, guess.trajectory, steps)
    return _candidate(better, guess.shooting, guess.headroom)


def _heated(
    model: Model, start: State, wanted: Wanted, how: Heating
) -> tuple[list[Moment], Course, Heating]:
    """Along the profile; with fewer knots where a plan could not hold them."""
    last_c = how.highest_c + (0.0 if how.holds_peak else PUSH_K)
    while True:
        course = Course(wanted.profile, start[BOARD], last_c)
        moments = heat(model, start, course, how)
        if len(moments) <= MOST_HOT_KNOTS:
            return moments, course, how
        how = replace(how, knot_s=how.knot_s * len(moments) / MOST_HOT_KNOTS + 0.5)


def _worth(one: float) -> float:
    return min(one, WELL_INSIDE) - (MISSED_COST if one < 0 else 0.0)


def _weight(key: optimum.Key) -> float:
    return FAIL_WEIGHT if key[0] in optimum.DECISIVE_NAMES else 1.0


def _is_lifted(params: PlantParams, found: Trajectory) -> bool:
    """Whether the end is told by temperature: where lifting the board is the only brake."""
    return found.door_cue_s is not None and params.lift_share > 0.5


def _check_sensor(measures: Sequence[Measure]) -> None:
    """A plan of which it is known that the controller will stop it is none."""
    sensor = next(m for m in measures if m.name == "sensor_peak")
    if is_missed(sensor):
        text = sentences.SENSOR_TOO_HOT.format(
            found_c=sensor.value, limit_c=SENSOR_LIMIT_C, room_k=SENSOR_ROOM_K
        )
        raise Infeasible(text, measures)


def _too_weak(model: Model, wanted: Wanted, moments: list[Moment]) -> Infeasible:
    """Full power as long as it helps, and what the board got of it."""
    highest = max(moments, key=lambda moment: moment.board_c)
    time_s = np.array([m.time_s for m in moments if m.time_s <= highest.time_s])
    duty = np.array([m.duty for m in moments])[: len(time_s)]
    course = flown(model, moments[0].state, time_s, duty, False, wanted.paste.above_c, [])
    text = sentences.OUT_OF_REACH.format(
        highest_c=highest.board_c, peak_c=wanted.least_peak_c, paste=wanted.paste.name
    )
    return Infeasible(text, course_windows(course, wanted))


def tuned(params: PlantParams, ambient_c: float, board_c: float, node: str) -> Gains:
    """Gains for this source where its board is this warm, the sensor at this node of it."""
    model = Model(params, ambient_c)
    return row_at([model], warmed(model, board_c), WARMING_DUTY, node).gains
