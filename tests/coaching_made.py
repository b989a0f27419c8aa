"""Coached runs by the lot: the simulated person on sources within 15 % of the shipped ones."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise
from random import Random

import numpy as np

from heatsim.params import PlantParams
from heatwright.coaching.advisor import Advisor
from heatwright.coaching.course import course_of
from heatwright.coaching.person import Person
from heatwright.coaching.rehearsal import Rehearsed, person_of_seed, rehearse, source_of_seed
from heatwright.coaching.timed import STEADY_HAND, Timed, timed_plan
from heatwright.documents import load_paste, load_source
from heatwright.judging.measures import RULES, measure

BY_HAND = ("sand", "hot-plate", "hot-air")
PASTE = load_paste("sac305")
AIM_C = course_of(PASTE).aim_c
# J-STD-020D, Table 4-2: a small package, and one over 2.5 mm thick of 350 to 2000 mm3 as the
# electrolytic capacitor of the shipped sources (2.2 J/K at 2 J/cm3K) is.
SMALL_MAX_C, LARGE_MAX_C = 260.0, 245.0
# A package's 480 s to the peak are no window of the paste.
OF_THE_PASTE = {rule.name for rule in RULES} - {"time_to_peak"}
OFF_WITH_IT, ASKS_HEAT = ("lift", "too_hot"), ("knob", "hold", "melt", "ready", "countdown")
Run = Callable[[PlantParams, int], Rehearsed]


@dataclass(frozen=True)
class Lot:
    """Shares of runs, 0..1; 95th percentile of the peak's distance from the aim, K; counts."""

    inside: float
    peak_error_k: float
    overheated: float
    hasty: int
    contradicting: int


def coached(source: str) -> Run:
    """The person follows the coach."""
    loaded = load_source(source)

    def run(params: PlantParams, seed: int) -> Rehearsed:
        return rehearse(Advisor(loaded, PASTE), params, person_of_seed(seed), seed)

    return run


def by_recipe(source: str) -> Run:
    """The same person follows a timed plan of the source as its file has it."""
    loaded = load_source(source)
    plan = timed_plan(loaded, PASTE)

    def run(params: PlantParams, seed: int) -> Rehearsed:
        return rehearse(Timed(loaded, PASTE, plan), params, person_of_seed(seed), seed)

    return run


def best_possible(source: str) -> Run:
    """The hand is as quick as the coach takes it to be, and the coach knows the very source."""
    loaded = load_source(source)

    def run(params: PlantParams, seed: int) -> Rehearsed:
        person = Person(Random(seed), STEADY_HAND)
        return rehearse(Advisor(loaded, PASTE, models=[params]), params, person, seed)

    return run


def windows_met(run: Rehearsed) -> set[str]:
    """The paste's windows that the true board kept."""
    found = measure(run.times_s, run.board_c, PASTE)
    return {one.name for one in found if one.name in OF_THE_PASTE and one.status == "pass"}


def can_meet(source: str) -> set[str]:
    """The windows that this source can meet at all: those of the best possible run on it."""
    return windows_met(best_possible(source)(load_source(source).plant_params(), 0))


def lot(source: str, make: Callable[[str], Run], seeds: range) -> Lot:
    """Run every seed's source with every seed's person."""
    params, run, wanted = load_source(source).plant_params(), make(source), can_meet(source)
    runs = [run(source_of_seed(params, seed), seed) for seed in seeds]
    errors_k = [abs(float(one.board_c.max()) - AIM_C) for one in runs]
    return Lot(
        inside=float(np.mean([wanted <= windows_met(one) for one in runs])),
        peak_error_k=float(np.percentile(errors_k, 95)),
        overheated=float(np.mean([_overheats(one) for one in runs])),
        hasty=sum(hasty(one) for one in runs),
        contradicting=sum(contradicting(one) for one in runs),
    )


def _overheats(run: Rehearsed) -> bool:
    return max(run.small) > SMALL_MAX_C or max(run.large) > LARGE_MAX_C


def hasty(run: Rehearsed) -> int:
    """Changes of advice less than 10 s after the one before; danger calls may be."""
    pairs = pairwise(run.advice)
    return sum(not b.is_danger and b.at_s - a.at_s < 10.0 for a, b in pairs)


def contradicting(run: Rehearsed) -> int:
    """Knobs turned back within 5 s, and heat asked for after the board was called off."""
    turns = [(one.at_s, one.setting or 0) for one in run.advice if one.kind == "knob"]
    ways = [(b[0], b[1] > a[1]) for a, b in pairwise(turns)]
    back = sum(b[1] != a[1] and b[0] - a[0] <= 5.0 for a, b in pairwise(ways))
    called_s = min((one.at_s for one in run.advice if one.kind in OFF_WITH_IT), default=math.inf)
    return back + sum(one.kind in ASKS_HEAT and one.at_s > called_s for one in run.advice)
