"""The nominal trajectory: which duty takes this source's board along a profile, by simulation.

Heating is planned knot by knot: the next duty is the one that brings the board to the target one
horizon ahead, from two simulated looks ahead (predictive control with one coincidence point). The
end of heating is then searched for backwards, so that the board coasts to the peak asked for.
"""

from __future__ import annotations

import copy
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from heatsim.plant import Plant
from heatwright.planning.course import Course
from heatwright.planning.tuning import Floats

LOOK_STEP_S = 1.0
# The controller keeps the fan on from the first tick of a run to its end.
FAN = 1.0
# The effect of duty on the board changes slowly: it is looked up anew every so many knots.
EFFECT_KNOTS = 6
EFFECT_DUTY = 0.2
# Heating that takes longer than this is not soldering any more.
LONGEST_S = 1500.0
# The board is not watched any further once it has fallen this far below liquidus.
COOL_BELOW_LIQUIDUS_K = 40.0
LONGEST_COOLING_S = 420.0
# A person needs this long from the cue to an open door.
DOOR_DELAY_S = 3.0
CUT_RAMP_S = 1.0
# How near to the peak counts as there, where the profile asks to hold it.
NEAR_K = 1.0


@dataclass(frozen=True)
class Task:
    """One trajectory to plan: where it ends, with what, and how fast duty may be used."""

    peak_c: float
    liquidus_c: float
    most_duty: float
    horizon_s: float
    opens_door: bool
    holds_peak: bool = False
    knot_s: float = 5.0


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


class OutOfReach(Exception):
    """The source can't take the board to its peak; ``highest_c`` is as far as it got."""

    def __init__(self, highest_c: float) -> None:
        self.highest_c = highest_c
        super().__init__(f"the board gets no further than {highest_c:.0f} C")


def plan_trajectory(plant: Plant, course: Course, task: Task) -> Trajectory:
    """Plan from where ``plant`` stands now. Raises `OutOfReach`."""
    moments = list(_heat(plant, course, task))
    if moments[-1].board_c < task.peak_c - NEAR_K:
        raise OutOfReach(max(moment.board_c for moment in moments))
    cut = moments[-1] if task.holds_peak else _cut(moments, task)
    kept = [m for m in moments if m.time_s < cut.time_s - CUT_RAMP_S / 2] + [cut]
    return _assemble(kept, course, task)


def _heat(plant: Plant, course: Course, task: Task) -> Iterator[Moment]:
    """Heat along the course until the board itself is at the peak, or will get no further."""
    now = Moment(0.0, 0.0, board_of(plant), copy.copy(plant))
    effect = _effect(now, task)
    for number in range(int(LONGEST_S / task.knot_s)):
        yield now
        if now.board_c >= task.peak_c and not task.holds_peak:
            return
        if now.board_c >= task.peak_c - NEAR_K and course.done:
            return
        if number % EFFECT_KNOTS == 0:
            effect = _effect(now, task)
        now = _next(now, course, task, effect)


def _next(now: Moment, course: Course, task: Task, effect: float) -> Moment:
    held_c = _look(now, now.duty, task)
    reach_c = held_c + effect * (task.most_duty - now.duty)
    ahead_s = now.time_s + task.horizon_s - course.time_s
    target_c = course.advance(max(ahead_s, 0.0), reach_c)
    duty = min(max(now.duty + (target_c - held_c) / effect, 0.0), task.most_duty)
    moved = copy.copy(now.plant)
    ramp(moved, now.duty, duty, task.knot_s)
    return Moment(now.time_s + task.knot_s, duty, board_of(moved), moved)


def _effect(now: Moment, task: Task) -> float:
    """What one unit of duty more, from the next knot on, does to the board one horizon on, K."""
    up = EFFECT_DUTY if now.duty < 0.5 else -EFFECT_DUTY
    changed_c = _look(now, now.duty + up, task)
    return max((changed_c - _look(now, now.duty, task)) / up, 1.0)


def _look(now: Moment, duty: float, task: Task) -> float:
    plant = copy.copy(now.plant)
    ramp(plant, now.duty, duty, task.knot_s)
    ramp(plant, duty, duty, task.horizon_s - task.knot_s)
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


def _cut(moments: list[Moment], task: Task) -> Moment:
    """The moment to end heating at, so that the board's highest point is the peak asked for."""
    low, high = 0, len(moments) - 1
    while high - low > 1:
        middle = (low + high) // 2
        if _coasts_to(moments[middle], task) < task.peak_c:
            low = middle
        else:
            high = middle
    return _between(moments[low], moments[high], task)


def _between(before: Moment, after: Moment, task: Task) -> Moment:
    """Halve the step between two knots: the peak comes out within a tenth of a kelvin."""
    best = before
    low_s, high_s = 0.0, after.time_s - before.time_s
    for _ in range(5):
        middle_s = (low_s + high_s) / 2
        best = _part_way(before, after, middle_s)
        if _coasts_to(best, task) < task.peak_c:
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


def _coasts_to(moment: Moment, task: Task) -> float:
    """The highest board temperature if heating ends at this moment."""
    highest_c = moment.board_c
    for step in _coast(moment, task):
        if step["board"] < highest_c - 0.5:
            break
        highest_c = max(highest_c, step["board"])
    return highest_c


def _coast(moment: Moment, task: Task) -> Iterator[dict[str, float]]:
    """Every second's temperatures after heating ends, the door opened by a person if asked for."""
    plant = copy.copy(moment.plant)
    for second in range(int(LONGEST_COOLING_S)):
        door = float(task.opens_door and second >= DOOR_DELAY_S)
        duty = moment.duty / 2 if second < CUT_RAMP_S else 0.0
        yield {**plant.step(LOOK_STEP_S, duty, door, FAN), "time_s": second + 1.0}


def _assemble(moments: list[Moment], course: Course, task: Task) -> Trajectory:
    cut = moments[-1]
    hot = [_row(m.time_s, m.duty, m.plant.temperatures()) for m in moments]
    cold = [_row(cut.time_s + step["time_s"], 0.0, step) for step in _cooling(cut, task)]
    time_s, duty, sensor_c, board_sensor_c, board_c = np.array(hot + _thinned(cold)).T
    starts = [start for start in course.starts if start[0] < cut.time_s]
    peak_s = float(time_s[np.argmax(board_c)])
    return Trajectory(
        time_s=time_s,
        duty=duty,
        sensor_c=sensor_c,
        board_sensor_c=board_sensor_c,
        board_c=board_c,
        starts=[*starts, (peak_s, "ramp_down")],
        door_cue_s=cut.time_s if task.opens_door else None,
    )


def _cooling(cut: Moment, task: Task) -> Iterator[dict[str, float]]:
    for step in _coast(cut, task):
        yield step
        if step["board"] < task.liquidus_c - COOL_BELOW_LIQUIDUS_K:
            return


def _thinned(rows: list[list[float]]) -> list[list[float]]:
    """Cooling moves fast at first, when heat ends and the door opens, and slowly later."""
    kept = [*range(0, 16, 3), *range(18, 60, 6), *range(60, len(rows), 15)]
    return [rows[at] for at in sorted({*kept, len(rows) - 1}) if at < len(rows)]


def _row(time_s: float, duty: float, temperatures: dict[str, float]) -> list[float]:
    board_sensor_c = temperatures.get("board_sensor", temperatures["board"])
    return [time_s, duty, temperatures["sensor"], board_sensor_c, temperatures["board"]]
