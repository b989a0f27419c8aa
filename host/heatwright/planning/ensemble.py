"""A plan tried on many ovens like yours before there is any heat: the core itself, in simulation.

Trials need nothing of each other, so processes here or on a Dask cluster do them, with the same
results for the same seeds. What is done is kept: a worker that dies costs its own batch only.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import BrokenExecutor, Executor, ProcessPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import numpy as np

from heatsim import campaign
from heatwright import sentences
from heatwright.errors import BadInput, Fault
from heatwright.planning.model import Model
from heatwright.planning.trial import Trial

SOURCES = 200
# Large enough that sending it costs nothing, small enough that progress is seen.
BATCH = 8
# A pool whose worker was killed is made anew, so often.
TRIES = 4
# Volts this far from nominal are named as the likely reason.
FAR_VOLTS = 0.04
KEPT = "trials.jsonl"


@dataclass(frozen=True)
class Verified:
    """How many of the drawn ovens the plan works in, and what was missed in the others."""

    results: dict[int, dict[str, Any]]

    @property
    def sources(self) -> int:
        return len(self.results)

    @property
    def in_window(self) -> int:
        return sum(bool(one["works"]) for one in self.results.values())

    @property
    def misses(self) -> list[tuple[str, int, int]]:
        """(what, how many, of those on low or high mains: below 0, above 0, or neither: 0)."""
        failed = [one for one in self.results.values() if not one["works"]]
        by_cause: dict[str, list[float]] = {}
        for one in failed:
            by_cause.setdefault(_cause(one), []).append(one["mains"])
        ranked = sorted(by_cause.items(), key=lambda item: -len(item[1]))
        return [(cause, len(volts), _side(cause, volts)) for cause, volts in ranked]

    @property
    def soft(self) -> dict[str, int]:
        """How often a window that costs no joint was missed, by its name."""
        found: Counter[str] = Counter()
        for one in self.results.values():
            found.update({name for name, _, decisive in one["missed"] if not decisive})
        return dict(found.most_common())

    def sentence(self) -> str:
        """The one line that a person reads."""
        said = sentences.ENSEMBLE_WORKS.format(works=self.in_window, sources=self.sources)
        if not self.misses:
            return said + "."
        causes = "; ".join(_told(*miss) for miss in self.misses)
        count = self.sources - self.in_window
        misses = sentences.ENSEMBLE_MISS if count == 1 else sentences.ENSEMBLE_MISSES
        return said + misses.format(count=count, causes=causes)

    def soft_sentence(self) -> str:
        """Which windows that cost no joint were missed, and how often; empty where none was."""
        if not self.soft:
            return ""
        named = (f"{_label(name)} {count}" for name, count in self.soft.items())
        return sentences.ENSEMBLE_SOFT.format(names="; ".join(named))


def _label(name: str) -> str:
    return sentences.LABELS[name].format(part=sentences.ENSEMBLE_ANY_PART).rstrip(",")


def _cause(one: dict[str, Any]) -> str:
    """The first decisive miss: what went wrong before the rest followed from it."""
    if one["trip"]:
        return f"trip {one['trip']}"
    name, is_low = next((name, low) for name, low, decisive in one["missed"] if decisive)
    return f"{name} {'low' if is_low else 'high'}"


def _side(cause: str, volts: Sequence[float]) -> int:
    """Low mains are no reason for too much heat, nor high mains for too little."""
    middle = sorted(volts)[len(volts) // 2] - 1.0
    side = 0 if abs(middle) < FAR_VOLTS else (1 if middle > 0 else -1)
    absurd = {1: " low", -1: " high"}
    return 0 if side and cause.endswith(absurd[side]) else side


def _told(cause: str, count: int, side: int) -> str:
    name, _, end = cause.rpartition(" ")
    if name == "trip":
        what = sentences.ENSEMBLE_TRIP.format(name=end.replace("_", " "))
    else:
        what = sentences.ENSEMBLE_CAUSES.get(cause, cause.replace("_", " "))
    return f"{count} {what}{sentences.ENSEMBLE_MAINS[side]}"


def verify(
    trial: Trial,
    sources: int = SOURCES,
    *,
    cluster: str | None = None,
    workers: int | None = None,
    progress: Callable[[int, int], None] | None = None,
    kept_in: Path | None = None,
) -> Verified:
    """Run a plan in so many drawn ovens, seeds 1 to ``sources``.

    ``workers`` None: one a core; 1: here. ``kept_in`` is a file that a campaign which was cut goes
    on from. Raises `BadInput` where the cluster can't be reached.
    """
    # compiled once, before there are workers that would each do it
    model = Model(trial.source.plant_params())
    model.run(model.start(), np.zeros(1))
    seeds = range(1, sources + 1)
    with TemporaryDirectory() as folder:
        kept = kept_in or Path(folder) / KEPT
        for left in reversed(range(TRIES)):
            try:
                with _executor(cluster, workers) as executor:
                    return Verified(
                        campaign.run(
                            trial, seeds, executor,
                            batch_size=BATCH, progress=progress, kept_in=kept,
                        )
                    )  # fmt: skip
            except BrokenExecutor:
                if not left:
                    raise
    raise AssertionError("the last try returns or raises")


@contextmanager
def _executor(cluster: str | None, workers: int | None) -> Iterator[Executor | None]:
    if cluster:
        with _cluster(cluster) as executor:
            yield executor
    elif workers == 1:
        yield None
    else:
        with ProcessPoolExecutor(workers) as pool:
            yield pool


@contextmanager
def _cluster(address: str) -> Iterator[Executor]:
    try:
        dask: Any = import_module("distributed")
    except ImportError as error:
        raise BadInput(
            Fault(sentences.NO_DASK, "--cluster", cure=sentences.NO_DASK_CURE)
        ) from error
    try:
        client = dask.Client(address, timeout="10s")
    except (OSError, ValueError) as error:
        raise BadInput(
            Fault(sentences.NO_CLUSTER, "--cluster", f"{address}: {error}", "tcp://HOST:8786")
        ) from error
    with client:
        yield client.get_executor()
