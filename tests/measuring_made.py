"""Heat sources for tests and benches of measuring: plants that no fitted model can equal.

Drawn about their kind, and built otherwise: another exponent of free convection, another slope of
the board's heat capacity, parts of other sizes; mains off nominal, drifting through each run.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache
from random import Random

import numpy as np

from heatsim import mains, seeds
from heatsim.batch import inputs_table, simulate_compiled
from heatsim.params import PlantParams
from heatsim.plant import NODES, STEP_S
from heatwright.documents import Source, load_source
from heatwright.judging.melting import Melt
from heatwright.measuring.measurement import Measurement
from heatwright.planning import open_loop
from heatwright.records.units import Floats

BOARD = NODES.index("board")
NOISE_K = 0.15
EXPONENT, SLOPE, PART_SIZE = (0.20, 0.33), (0.0, 2.0), (0.5, 2.0)
# A surface grows with the power 2/3 of its volume.
SURFACE = 2 / 3
# What a person sees: SAC305 somewhere in its range, in each workshop always at the same place; on a
# spot that is not the whole board; pressed a second later.
SOLIDUS_C, LIQUIDUS_C = 217.0, 220.0
SPOT_SD_K, REACTION_S, REACTION_SD_S = 1.0, 1.0, 0.5
# Of a soldering run: where a soak ends at the latest, and where heat does.
SOAKED_C, PEAK_C = 205.0, 238.0


@dataclass(frozen=True)
class Workshop:
    """One source of a kind with its wall socket; ``params`` is the truth that nobody sees."""

    kind: Source
    params: PlantParams
    level: float
    seed: int

    def mains(self, run: int, steps: int) -> Floats:
        """Ratio of nominal volts through a run: the workshop's level, drifting anew each run."""
        rng = Random(f"mains {self.kind.kind} {self.seed} {run}")
        socket = mains.Mains(
            level=self.level,
            drift=mains.DRIFT,
            drift_period_s=rng.uniform(*mains.DRIFT_PERIOD_S),
            drift_phase_s=rng.uniform(0.0, 900.0),
        )
        return np.array([socket.ratio(step * STEP_S) for step in range(steps)])

    def chance(self, run: int, what: int = 0) -> np.random.Generator:
        """Chance of one run here, of which no other workshop has the same."""
        return np.random.default_rng([*self.kind.kind.encode(), self.seed, run, what])

    def run(self, duty: Floats, door: Floats, number: int) -> tuple[Floats, Floats]:
        """Inputs as a record has them, and the true states."""
        known = inputs_table(duty, door=door, fan=1.0)
        volts = self.mains(number, len(duty))
        truth = inputs_table(duty, door=door, fan=1.0, mains=volts)
        return known, simulate_compiled([self.params], truth)[0]

    @property
    def powered(self) -> PlantParams:
        """The truth with its mains level worked into its power, for choosing when heat ends."""
        return replace(self.params, power_w=self.params.power_w * self.level**2)


def workshop(kind: str, seed: int) -> Workshop:
    """The source of this seed."""
    rng = Random(f"workshop {kind} {seed}")
    source = load_source(kind)
    drawn = seeds.variation(source.plant_params(), seeds.KIND_SPREAD, rng)
    small, large = rng.uniform(*PART_SIZE), rng.uniform(*PART_SIZE)
    params = replace(
        drawn,
        free_exponent=rng.uniform(*EXPONENT),
        board_rise_per_k=source.plant_params().board_rise_per_k * rng.uniform(*SLOPE),
        small_part_j_k=drawn.small_part_j_k * small,
        small_part_film_cm2=drawn.small_part_film_cm2 * small**SURFACE,
        large_part_j_k=drawn.large_part_j_k * large,
        large_part_film_cm2=drawn.large_part_film_cm2 * large**SURFACE,
    )
    level = 1.0 + rng.uniform(mains.DRIFT - mains.OFF_NOMINAL, mains.OFF_NOMINAL - mains.DRIFT)
    return Workshop(source, params, level, seed)


@cache
def _heats(kind: str, node: str) -> open_loop.Heats:
    return open_loop.safe_heats(load_source(kind).plant_params(), NODES.index(node), 25.0)


def measuring_run(shop: Workshop, reads: str) -> tuple[Measurement, Floats]:
    """The guided run as it is recorded from one sensor, and the true states."""
    heats = _heats(shop.kind.kind, reads)
    shut = round((heats.opens_after_s - open_loop.COAST_S) / STEP_S)
    duty = open_loop.duty(shop.powered, NODES.index(reads), 25.0, heats)[: shut or None]
    opened = round(open_loop.OPEN_S / STEP_S)
    door = np.concatenate([np.zeros(len(duty)), np.ones(opened)])
    known, states = shop.run(np.concatenate([duty, np.zeros(opened)]), door, 0)
    return recorded(shop, known, states, (reads,), 0), states


def soldering_run(
    shop: Workshop, reads: tuple[str, ...], number: int
) -> tuple[Measurement, Floats]:
    """Heated to 238 C with a soak at half heat, then off and the door open; and the true states."""
    duty, hot = _soldering_duty(shop)
    rest = round(150.0 / STEP_S)
    door = np.zeros(hot + rest)
    door[hot + round(3.0 / STEP_S) :] = 1.0
    known, states = shop.run(np.concatenate([duty[:hot], np.zeros(rest)]), door, number)
    return recorded(shop, known, states, reads, number), states


def _soldering_duty(shop: Workshop) -> tuple[Floats, int]:
    steps, soak = round(900.0 / STEP_S), round(90.0 / STEP_S)
    warm = _first(shop, np.full(steps, 0.9), 150.0, 0)
    begun = np.concatenate([np.full(warm, 0.9), np.full(soak, 0.45)])
    # half heat takes a small board in a strong drawer to 270 C within the 90 s: no soak any more
    soaked = _first(shop, begun, SOAKED_C, warm)
    duty = np.concatenate([begun[:soaked], np.full(steps, 0.95)])
    return duty, _first(shop, duty, PEAK_C, soaked)


def _first(shop: Workshop, duty: Floats, board_c: float, after: int) -> int:
    states = simulate_compiled([shop.powered], inputs_table(duty, fan=1.0))[0]
    reached = np.flatnonzero(states[after:, BOARD] >= board_c)
    return after + int(reached[0]) if reached.size else len(duty)


def recorded(
    shop: Workshop, known: Floats, states: Floats, reads: tuple[str, ...], number: int
) -> Measurement:
    """What loggers keep of a run."""
    rng = shop.chance(number)
    return Measurement(
        name=f"run {number}",
        sha256=f"{number:064x}",
        inputs=known,
        readings={
            name: states[:, NODES.index(name)] + rng.normal(0.0, NOISE_K, len(states))
            for name in reads
        },
    )


def melt_seen(shop: Workshop, states: Floats, number: int) -> tuple[Melt, ...]:
    """The mark that a person makes in this run; none where nothing melted."""
    rng = shop.chance(number, what=7)
    melts_c = Random(f"paste {shop.kind.kind} {shop.seed}").uniform(SOLIDUS_C, LIQUIDUS_C)
    melted = np.flatnonzero(states[:, BOARD] >= melts_c + rng.normal(0.0, SPOT_SD_K))
    if not melted.size:
        return ()
    seen_s = float(melted[0]) * STEP_S + rng.normal(REACTION_S, REACTION_SD_S)
    return (Melt(seen_s, "first_melt", SOLIDUS_C, LIQUIDUS_C, "SAC305"),)
