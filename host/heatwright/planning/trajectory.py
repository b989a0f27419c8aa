"""The nominal trajectory: which duty takes this source's board along a profile, by simulation.

Heating is planned knot by knot: the next duty is the one that brings the board to the target one
horizon ahead, from two simulated looks ahead (predictive control with one coincidence point). The
end of heating is then searched for backwards, so that the board coasts to the peak asked for.
"""

from __future__ import annotations

import copy
from collections.abc import Iterator
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from heatcore.limits import DUTY_MAX
from heatsim.plant import Plant
from heatwright.planning.course import Course
from heatwright.planning.tuning import Floats

LOOK_STEP_S = 1.0
# The controller keeps the fan on from the first tick of a run to its end.
FAN = 1.0
# The effect of duty on the board changes slowly: it is looked up anew every so many knots.
EFFECT_KNOTS = 6
EFFECT_DUTY = 0.2
# A board that rises less than this at full power between two such looks will get no further.
STALLED_K = 1.0
# Until then it may just be waiting for the source to warm up.
START_S = 120.0
# Heating that takes longer than this is not soldering any more.
LONGEST_S = 1500.0
# The board is not watched any further once it has fallen this far below liquidus.
COOL_BELOW_LIQUIDUS_K = 40.0
LONGEST_COOLING_S = 420.0
# Never above 9,800 of 10,000, so that each second has an off-slot.
MOST_DUTY = DUTY_MAX / 10_000
# A person needs this long from the cue to an open door.
DOOR_DELAY_S = 3.0
CUT_RAMP_S = 1.0
# How near to the peak counts as there, where the profile asks to hold it.
NEAR_K = 1.0
# A board that has come down this far from its highest point will not rise again.
PAST_PEAK_K = 2.0
HALVINGS = 5


@dataclass(frozen=True)
class Heating:
    """How to heat: up to which board temperature, with which share of full power."""

    highest_c: float
    headroom: float
    horizon_s: float
    knot_s: float
    holds_peak: bool = False

    @property
    def most_duty(self) -> float:
        return MOST_DUTY * self.headroom


class End(NamedTuple):
    """How heating ends: at which peak of the board, and whether a person opens the door then."""

    peak_c: float
    opens_door: bool


@dataclass(frozen=True)
class Moment:
    """One knot of the heating part, with a plant that stands at this moment."""

    time_s: float
    duty: float
    board_c: float
    plant: Plant


@dataclass(frozen=True)
class Trajectory:
    """The plan in the host's units: arrays of one length, a knot each; duty is linear between."""

    time_s: Floats
    duty: Floats
    sensor_c: Floats
    board_sensor_c: Floats
    board_c: Floats
    starts: list[tuple[float, str]]
    door_cue_s: float | None


def heat(plant: Plant, course: Course, how: Heating) -> list[Moment]:
    """Heat along the course until the board itself is at its highest, or will get no further."""
    return list(_heat(plant, course, how))


def _heat(plant: Plant, course: Course, how: Heating) -> Iterator[Moment]:
    now = Moment(0.0, 0.0, board_of(plant), copy.copy(plant))
    effect, before_c = 1.0, -273.15
    for number in range(int(LONGEST_S / how.knot_s)):
        yield now
        near_k = NEAR_K if how.holds_peak else 0.0
        if now.board_c >= how.highest_c - near_k and (course.done or not how.holds_peak):
            return
        if number % EFFECT_KNOTS == 0:
            is_full = now.time_s > START_S and now.duty >= how.most_duty
            if is_full and now.board_c < before_c + STALLED_K:
                return
            before_c = now.board_c
            effect = _effect(now, how)
        now = _next(now, course, how, effect)


def _next(now: Moment, course: Course, how: Heating, effect: float) -> Moment:
    held_c = _look(now, now.duty, how)
    reach_c = held_c + effect * (how.most_duty - now.duty)
    ahead_s = now.time_s + how.horizon_s - course.time_s
    target_c = course.advance(max(ahead_s, 0.0), reach_c)
    duty = min(max(now.duty + (target_c - held_c) / effect, 0.0), how.most_duty)
    moved = copy.copy(now.plant)
    ramp(moved, now.duty, duty, how.knot_s)
    return Moment(now.time_s + how.knot_s, duty, board_of(moved), moved)


def _effect(now: Moment, how: Heating) -> float:
    """What one unit of duty more, from the next knot on, does to the board one horizon on, K."""
    up = EFFECT_DUTY if now.duty < 0.5 else -EFFECT_DUTY
    changed_c = _look(now, now.duty + up, how)
    return max((changed_c - _look(now, now.duty, how)) / up, 1.0)


def _look(now: Moment, duty: float, how: Heating) -> float:
    plant = copy.copy(now.plant)
    ramp(plant, now.duty, duty, how.knot_s)
    ramp(plant, duty, duty, how.horizon_s - how.knot_s)
    return board_of(plant)


def ramp(plant: Plant, from_duty: float, to_duty: float, time_s: float) -> None:
    """Run ``plant`` on while duty goes from one value to the other in a straight line."""
    steps = max(round(time_s / LOOK_STEP_S), 1)
    for step in range(steps):
        share = (step + 0.5) / steps
        plant.step(time_s / steps, from_duty + (to_duty - from_duty) * share, fan=FAN)


def board_of(plant: Plant) -> float:
    """The board's temperature now, C."""
    return plant.temperatures()["board"]


def finish(
    moments: list[Moment], course: Course, how: Heating, end: End, liquidus_c: float
) -> Trajectory | None:
    """Heating up to the right moment, then cooling; None where the peak was never reached."""
    if moments[-1].board_c < end.peak_c - NEAR_K:
        return None
    cut = moments[-1] if how.holds_peak else _cut(moments, end)
    kept = [m for m in moments if m.time_s < cut.time_s - CUT_RAMP_S / 2] + [cut]
    hot = [_row(m.time_s, m.duty, m.plant.temperatures()) for m in kept]
    cold = [_row(cut.time_s + s["time_s"], 0.0, s) for s in _cooling(cut, end, liquidus_c)]
    time_s, duty, sensor_c, board_sensor_c, board_c = np.array(hot + _thinned(cold)).T
    starts = [start for start in course.starts if start[0] < cut.time_s]
    return Trajectory(
        time_s=time_s,
        duty=duty,
        sensor_c=sensor_c,
        board_sensor_c=board_sensor_c,
        board_c=board_c,
        starts=[*starts, (float(time_s[np.argmax(board_c)]), "ramp_down")],
        door_cue_s=cut.time_s if end.opens_door else None,
    )


def _cut(moments: list[Moment], end: End) -> Moment:
    """The moment to end heating at, so that the board's highest point is the peak asked for."""
    low, high = 0, len(moments) - 1
    while high - low > 1:
        middle = (low + high) // 2
        if _coasts_to(moments[middle], end) < end.peak_c:
            low = middle
        else:
            high = middle
    return _between(moments[low], moments[high], end)


def _between(before: Moment, after: Moment, end: End) -> Moment:
    """Halve the step between two knots: the peak comes out within a tenth of a kelvin."""
    best = before
    low_s, high_s = 0.0, after.time_s - before.time_s
    for _ in range(HALVINGS):
        middle_s = (low_s + high_s) / 2
        best = _part_way(before, after, middle_s)
        if _coasts_to(best, end) < end.peak_c:
            low_s = middle_s
        else:
            high_s = middle_s
    return best


def _part_way(before: Moment, after: Moment, time_s: float) -> Moment:
    share = time_s / (after.time_s - before.time_s)
    duty = before.duty + (after.duty - before.duty) * share
    plant = copy.copy(before.plant)
    ramp(plant, before.duty, duty, time_s)
    return Moment(before.time_s + time_s, duty, board_of(plant), plant)


def _coasts_to(moment: Moment, end: End) -> float:
    """The highest board temperature if heating ends at this moment."""
    highest_c = moment.board_c
    for step in _coast(moment, end):
        highest_c = max(highest_c, step["board"])
        if step["board"] < highest_c - PAST_PEAK_K:
            break
    return highest_c


def _coast(moment: Moment, end: End) -> Iterator[dict[str, float]]:
    """Every second's temperatures after heating ends, the door opened by a person if asked for."""
    plant = copy.copy(moment.plant)
    for second in range(int(LONGEST_COOLING_S)):
        door = float(end.opens_door and second >= DOOR_DELAY_S)
        duty = moment.duty / 2 if second < CUT_RAMP_S else 0.0
        yield {**plant.step(LOOK_STEP_S, duty, door, FAN), "time_s": second + 1.0}


def _cooling(cut: Moment, end: End, liquidus_c: float) -> Iterator[dict[str, float]]:
    """Until the board is past its peak and well below liquidus."""
    highest_c = cut.board_c
    for step in _coast(cut, end):
        yield step
        highest_c = max(highest_c, step["board"])
        if step["board"] < min(liquidus_c - COOL_BELOW_LIQUIDUS_K, highest_c - PAST_PEAK_K):
            return


def _thinned(rows: list[list[float]]) -> list[list[float]]:
    """Cooling moves fast at first, when heat ends and the door opens, and slowly later."""
    kept = [*range(6), *range(6, 18, 3), *range(18, 60, 6), *range(60, len(rows), 15)]
    return [rows[at] for at in sorted({*kept, len(rows) - 1}) if at < len(rows)]


def _row(time_s: float, duty: float, temperatures: dict[str, float]) -> list[float]:
    nodes = ("sensor", "board_sensor", "board")
    return [time_s, duty, *(temperatures[node] for node in nodes)]
