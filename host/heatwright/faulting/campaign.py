"""The fault campaign: every fault at every moment, on every powered source, and runs without any.

Plans are made once for each source and placing of the sensor. A unit of work is one setting with
one draw (all its faults and moments), or a handful of fresh runs; units go to a pool of processes.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Executor
from dataclasses import asdict, dataclass
from functools import partial
from pathlib import Path
from typing import Any, Literal

from heatcore import codes
from heatcore.plan import STAGES_WIDTH, Plan
from heatsim import campaign, faults, trials
from heatsim.seeds import KIND_SPREAD, MEASURED_SPREAD
from heatsim.trials import Moment, Setting
from heatwright import assets
from heatwright.documents import Source, load_source
from heatwright.faulting.figures import AFTER_CUE
from heatwright.planning.residual import residual_limits
from heatwright.running.job import BEADS, Asked, prepare

# What a controller can switch; sand on a stove and a hot-air gun are driven by hand.
POWERED = ("toaster", "convection", "drawer", "hot-plate")
SPREADS = {"measured": MEASURED_SPREAD, "kind": KIND_SPREAD}
FRESH_A_UNIT = 25
FIRST_MINUTE_S = 45.0
START_S = 5.0
# What a person at the oven would call the last of it: the door was told to open just now.
AFTER_CUE_S = 10.0

Progress = Callable[[int, int], None]
# The chip's own faults of one setting and draw, as `heatsim.trials.Case`: slow, so run on few.
OnChip = Callable[[Setting, int], list[dict[str, Any]]]


@dataclass(frozen=True)
class Size:
    """How much is run: draws of each setting, every how-manyth moment, fresh runs in all.

    `chips` is the number of settings that the chip's own faults are tried on, with one draw.
    """

    seeds: int
    every_moment: int
    fresh_runs: int
    chips: int


WHOLE = Size(seeds=5, every_moment=1, fresh_runs=3000, chips=len(POWERED) * len(BEADS))
QUICK = Size(seeds=1, every_moment=3, fresh_runs=60, chips=1)


@dataclass(frozen=True)
class Wanted:
    """A campaign: the sources by name or file, the spread they are drawn with, and its size."""

    sources: tuple[str, ...] = POWERED
    spread: str = "measured"
    size: Size = WHOLE


@dataclass(frozen=True)
class _Unit:
    setting: Setting
    seeds: tuple[int, ...]
    kind: Literal["faulty", "fresh", "chip"]


def settings(wanted: Wanted, executor: Executor | None = None) -> list[Setting]:
    """A plan for each source and placing. Raises `BadInput`, `nominal.Infeasible`."""
    pairs = [(source, sensor) for source in wanted.sources for sensor in BEADS]
    make = partial(setting_of, wanted)
    return list(executor.map(make, pairs) if executor else map(make, pairs))


def run(
    wanted: Wanted,
    executor: Executor | None = None,
    *,
    on_chip: OnChip | None = None,
    progress: Progress | None = None,
    kept_in: Path | None = None,
) -> dict[str, Any]:
    """The campaign's document, as ``heatwright faults --json`` prints it.

    ``on_chip`` None leaves the chip's own faults out. ``kept_in`` is a folder: a campaign that was
    cut goes on from what stands there.
    """
    made = settings(wanted, executor)
    chips = made[: wanted.size.chips] if on_chip else []
    units = [
        *(_Unit(setting, (1,), "chip") for setting in chips),
        *_faulty_units(made, wanted.size),
        *_fresh_units(made, wanted.size),
    ]
    results = campaign.run(
        partial(_work, units, on_chip),
        range(len(units)),
        executor,
        batch_size=1,
        progress=progress,
        kept_in=kept_in / f"{_fingerprint(units)}.txt" if kept_in else None,
    )
    return _document(wanted, units, list(results.values()))


def _document(wanted: Wanted, units: list[_Unit], results: list[Any]) -> dict[str, Any]:
    pairs = list(zip(units, results, strict=True))
    fresh = _of_kind(pairs, "fresh")
    tripped = [row for row in fresh if row["trip"]]
    peaks_c = [row["max_board_c"] for row in fresh if not row["trip"]]
    return {
        "schema_version": 1,
        "spread": SPREADS[wanted.spread],
        "seeds": wanted.size.seeds,
        "cases": _of_kind(pairs, "faulty") + _of_kind(pairs, "chip"),
        "fresh_runs": len(fresh),
        "false_trips": len(tripped),
        "tripped_fresh_runs": tripped,
        "fresh_peaks_c": [min(peaks_c), max(peaks_c)] if peaks_c else None,
    }


def _of_kind(pairs: list[tuple[_Unit, Any]], kind: str) -> list[dict[str, Any]]:
    return [row for unit, rows in pairs if unit.kind == kind for row in rows]


def setting_of(wanted: Wanted, pair: tuple[str, str]) -> Setting:
    """The plan for one source and placing of the sensor, thresholds made for the spread."""
    source, sensor = pair
    job = prepare(Asked(on=f"sim:{source}", source=source, sensor=sensor))
    chosen = moments(job.plan)[:: wanted.size.every_moment]
    known = _known_as(load_source(source), wanted.spread)
    data = residual_limits(known, job.data, reads=sensor)
    return Setting(
        source, sensor, known.plant_params(), data, tuple(chosen), SPREADS[wanted.spread]
    )


def _known_as(source: Source, spread: str) -> Source:
    """The source as if it had been measured, or as if it never had: its thresholds follow that."""
    generation = max(source.generation, 1) if spread == "measured" else 0
    return source.model_copy(update={"generation": generation})


def moments(plan: Plan) -> list[Moment]:
    """Nine points of a run: the start, within each stage and where it turns."""
    flat = list(plan.stages)
    starts = {
        codes.STAGES[flat[row + 1]]: flat[row] / 1000 for row in range(0, len(flat), STAGES_WIDTH)
    }
    end_s = starts["ramp_down"]
    soak_s, up_s, reflow_s = starts["soak"], starts["ramp_up"], starts["reflow"]
    return [
        Moment("start", START_S),
        Moment("first minute", FIRST_MINUTE_S),
        Moment("preheat", soak_s * 0.6),
        Moment("soak begins", soak_s),
        Moment("soak", (soak_s + up_s) / 2),
        Moment("ramp up", (up_s + reflow_s) / 2),
        Moment("reflow begins", reflow_s),
        Moment("reflow", (reflow_s + end_s) / 2),
        Moment(AFTER_CUE, end_s + AFTER_CUE_S),
    ]


def _faulty_units(made: Sequence[Setting], size: Size) -> Iterator[_Unit]:
    for seed in range(1, size.seeds + 1):
        for setting in made:
            yield _Unit(setting, (seed,), "faulty")


def _fresh_units(made: Sequence[Setting], size: Size) -> Iterator[_Unit]:
    """Seeds that no faulty run has, dealt out to the settings in turn."""
    for index, start in enumerate(range(0, size.fresh_runs, FRESH_A_UNIT)):
        last = min(start + FRESH_A_UNIT, size.fresh_runs)
        seeds = tuple(range(1001 + start, 1001 + last))
        yield _Unit(made[index % len(made)], seeds, "fresh")


def _work(units: list[_Unit], on_chip: OnChip | None, index: int) -> list[dict[str, Any]]:
    unit = units[index]
    if unit.kind == "fresh":
        return [trials.fresh(unit.setting, seed) for seed in unit.seeds]
    if unit.kind == "chip" and on_chip:
        return on_chip(unit.setting, unit.seeds[0])
    return trials.faulty(unit.setting, faults.IN_LOOP, unit.seeds[0])


def _fingerprint(units: list[_Unit]) -> str:
    """Changes with whatever would change the results: what is kept of another is never mixed in."""
    found = hashlib.sha256(repr([asdict(unit) for unit in units]).encode())
    for package in ("heatcore", "heatcontroller", "heatsim"):
        for path in sorted(assets.firmware_package(package).rglob("*.py")):
            found.update(path.read_bytes())
    return found.hexdigest()[:12]
