"""The first guess of a trajectory: which duty takes this source's board along a profile.

Heating is guessed knot by knot: the next duty is the one that brings the board to the target one
horizon ahead, from two simulated looks ahead (predictive control with one coincidence point). The
end of heating is then searched for backwards, so that the board coasts to the peak asked for.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple, Protocol

import numpy as np

from heatcore.limits import DUTY_MAX, TICK_MS
from heatsim.physics import State
from heatsim.plant import NODES
from heatwright.planning.knots import COOL_STEP_S, at_knots, cooling_knots, finer
from heatwright.planning.model import BOARD, LARGE, SMALL, Model, last
from heatwright.planning.tuning import Floats

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
# A tick after heating ends: while the clock waits for that, nobody is to open the door.
CUE_LATE_S = TICK_MS / 1000
CUT_RAMP_S = 1.0
# How near to the peak counts as there, where the profile asks to hold it.
NEAR_K = 1.0
# A board that has come down this far from its highest point will not rise again.
PAST_PEAK_K = 2.0
HALVINGS = 6


class Target(Protocol):
    """A moving target for the board: `course.Course`, or one that waits for nobody."""

    time_s: float
    starts: list[tuple[float, str]]

    @property
    def done(self) -> bool: ...

    def advance(self, time_s: float, reach_c: float) -> float: ...


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
    """One knot of the heating part, with the state of the source there."""

    time_s: float
    duty: float
    state: State

    @property
    def board_c(self) -> float:
        return self.state[BOARD]


@dataclass(frozen=True)
class Trajectory:
    """The plan in the host's units: arrays of one length, a knot each; duty is linear between.

    ``fine_s`` and ``fine`` (rows of `NODES`) are the same course in the simulator's small steps.
    ``highest`` is the highest of each node, long after the plan's end too: sand goes on rising.
    """

    time_s: Floats
    duty: Floats
    starts: list[tuple[float, str]]
    door_cue_s: float | None
    cut_s: float
    fine_s: Floats
    fine: Floats
    highest: Floats

    @cached_property
    def states(self) -> Floats:
        """Every node at the knots, C: asked for only of a course that is to become a plan."""
        hot = int(np.searchsorted(self.fine_s, self.cut_s, side="right"))
        knots = int(np.searchsorted(self.time_s, self.cut_s, side="right"))
        heating = self.fine_s[:hot], self.fine[:hot]
        cooling = self.fine_s[hot - 1 :], self.fine[hot - 1 :]
        return at_knots(self.time_s, knots, heating, cooling)

    def node(self, name: str) -> Floats:
        """One node's temperature at the knots, C."""
        return self.states[:, NODES.index(name)]

    @property
    def board_c(self) -> Floats:
        return self.states[:, BOARD]

    @property
    def parts_c(self) -> tuple[Floats, Floats]:
        """Small and large part in small steps, C."""
        return self.fine[:, SMALL], self.fine[:, LARGE]


def heat(model: Model, start: State, course: Target, how: Heating) -> list[Moment]:
    """Heat along the course until the board itself is at its highest, or will get no further."""
    return list(_heat(model, start, course, how))


def _heat(model: Model, start: State, course: Target, how: Heating) -> Iterator[Moment]:
    now = Moment(0.0, 0.0, start)
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
            effect = _effect(model, now, how)
        now = _next(model, now, course, how, effect)


def _next(model: Model, now: Moment, course: Target, how: Heating, effect: float) -> Moment:
    held_c = _look(model, now, now.duty, how)
    reach_c = held_c + effect * (how.most_duty - now.duty)
    ahead_s = now.time_s + how.horizon_s - course.time_s
    target_c = course.advance(max(ahead_s, 0.0), reach_c)
    duty = min(max(now.duty + (target_c - held_c) / effect, 0.0), how.most_duty)
    moved = last(model.ramped(now.state, now.duty, duty, how.knot_s))
    return Moment(now.time_s + how.knot_s, duty, moved)


def _effect(model: Model, now: Moment, how: Heating) -> float:
    """What one unit of duty more, from the next knot on, does to the board one horizon on, K."""
    up = EFFECT_DUTY if now.duty < 0.5 else -EFFECT_DUTY
    changed_c = _look(model, now, now.duty + up, how)
    return max((changed_c - _look(model, now, now.duty, how)) / up, 1.0)


def _look(model: Model, now: Moment, duty: float, how: Heating) -> float:
    at_knot = last(model.ramped(now.state, now.duty, duty, how.knot_s))
    held_s = how.horizon_s - how.knot_s
    return last(model.ramped(at_knot, duty, duty, held_s))[BOARD] if held_s > 0 else at_knot[BOARD]


def finish(
    model: Model,
    moments: list[Moment],
    course: Target,
    how: Heating,
    end: End,
    liquidus_c: float,
) -> Trajectory | None:
    """Heating up to the right moment, then cooling; None where the peak was never reached."""
    if moments[-1].board_c < end.peak_c - NEAR_K:
        return None
    cut = moments[-1] if how.holds_peak else _cut(model, moments, end)
    kept = [m for m in moments if m.time_s < cut.time_s - CUT_RAMP_S / 2] + [cut]
    time_s = np.array([m.time_s for m in kept])
    duty = np.array([m.duty for m in kept])
    starts = [start for start in course.starts if start[0] < cut.time_s]
    return flown(model, kept[0].state, time_s, duty, end.opens_door, liquidus_c, starts)


def flown(
    model: Model,
    start: State,
    time_s: Floats,
    duty: Floats,
    opens_door: bool,
    liquidus_c: float,
    starts: list[tuple[float, str]],
) -> Trajectory:
    """These knots of duty run on the source, and the cooling after the last of them."""
    hot_s, hot = heated(model, start, time_s, duty)
    cold = cooled(model, last(hot), float(duty[-1]), opens_door)
    board_c, cut_s = cold[:, BOARD], float(time_s[-1])
    cold_s: Floats = cut_s + COOL_STEP_S * np.arange(len(cold), dtype=np.float64)
    kept = _until_cool(board_c, liquidus_c)
    fine_s = np.concatenate([hot_s, cold_s[1:kept]])
    fine = np.concatenate([hot, cold[1:kept]])
    hot_knots_s = finer(time_s)
    knots_s = np.concatenate([hot_knots_s, cut_s + cooling_knots(kept)])
    hot_duty = np.interp(hot_knots_s, time_s, duty)
    return Trajectory(
        time_s=knots_s,
        duty=np.concatenate([hot_duty, np.zeros(len(knots_s) - len(hot_duty))]),
        starts=[*starts, (float(fine_s[np.argmax(fine[:, BOARD])]), "ramp_down")],
        door_cue_s=cut_s if opens_door else None,
        cut_s=cut_s,
        fine_s=fine_s,
        fine=fine,
        highest=np.maximum(hot.max(axis=0), cold.max(axis=0)),
    )


def heated(model: Model, start: State, time_s: Floats, duty: Floats) -> tuple[Floats, Floats]:
    """Times and states of the heating part, in even steps as near to half a second as go in."""
    steps = max(round(float(time_s[-1]) / COOL_STEP_S), 1)
    step_s = float(time_s[-1]) / steps
    middles = step_s * (np.arange(steps) + 0.5)
    states = model.run(start, np.interp(middles, time_s, duty), 0.0, step_s)
    return np.linspace(0.0, float(time_s[-1]), steps + 1), states


def cooled(model: Model, state: State, duty: float, opens_door: bool) -> Floats:
    """States every `COOL_STEP_S` after heating ends, the door opened by a person if asked for."""
    steps = int(LONGEST_COOLING_S / COOL_STEP_S)
    since_s: Floats = COOL_STEP_S * (np.arange(steps, dtype=np.float64) + 0.5)
    fading = duty * np.clip(1.0 - since_s / CUT_RAMP_S, 0.0, 1.0)
    door = opened(since_s, CUE_LATE_S + DOOR_DELAY_S, COOL_STEP_S) * opens_door
    return model.run(state, fading, door, COOL_STEP_S)


def opened(middles_s: Floats, opens_s: float, step_s: float) -> Floats:
    """How much of each of these steps the door is open that opens then."""
    return np.clip((middles_s - opens_s) / step_s + 0.5, 0.0, 1.0)


def _until_cool(board_c: Floats, liquidus_c: float) -> int:
    """How many rows until the board is past its peak and well below liquidus."""
    highest_c = np.maximum.accumulate(board_c)
    is_cool = board_c < np.minimum(liquidus_c - COOL_BELOW_LIQUIDUS_K, highest_c - PAST_PEAK_K)
    return int(np.argmax(is_cool)) + 1 if is_cool.any() else len(board_c)


def _cut(model: Model, moments: list[Moment], end: End) -> Moment:
    """The moment to end heating at, so that the board's highest point is the peak asked for."""
    low, high = 0, len(moments) - 1
    while high - low > 1:
        middle = (low + high) // 2
        if _coasts_to(model, moments[middle], end) < end.peak_c:
            low = middle
        else:
            high = middle
    return _between(model, moments[low], moments[high], end)


def _between(model: Model, before: Moment, after: Moment, end: End) -> Moment:
    """Halve the step between two knots: the peak comes out within a tenth of a kelvin."""
    best = before
    low_s, high_s = 0.0, after.time_s - before.time_s
    for _ in range(HALVINGS):
        middle_s = (low_s + high_s) / 2
        best = _part_way(model, before, after, middle_s)
        if _coasts_to(model, best, end) < end.peak_c:
            low_s = middle_s
        else:
            high_s = middle_s
    return best


def _part_way(model: Model, before: Moment, after: Moment, time_s: float) -> Moment:
    share = time_s / (after.time_s - before.time_s)
    duty = before.duty + (after.duty - before.duty) * share
    moved = last(model.ramped(before.state, before.duty, duty, time_s))
    return Moment(before.time_s + time_s, duty, moved)


def _coasts_to(model: Model, moment: Moment, end: End) -> float:
    """The highest board temperature if heating ends at this moment."""
    return float(cooled(model, moment.state, moment.duty, end.opens_door)[:, BOARD].max())
