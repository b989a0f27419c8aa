"""Coached runs by the lot: the simulated person on sources within 15 % of the shipped ones."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
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
# Small packages of any thickness: J-STD-020D, Table 4-2, at most 260 C.
PART_MAX_C = 260.0
# A package's 480 s to the peak are no window of the paste.
OF_THE_PASTE = {rule.name for rule in RULES} - {"time_to_peak"}
Run = Callable[[PlantParams, int], Rehearsed]


@dataclass(frozen=True)
class Lot:
    """Shares of runs, 0..1, and the 95th percentile of the peak's distance from the aim, K."""

    inside: float
    peak_error_k: float
    overheated: float


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
        return rehearse(Timed(loaded, plan), params, person_of_seed(seed), seed)

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
        overheated=float(np.mean([max(one.small) > PART_MAX_C for one in runs])),
    )
