"""Many simulated runs: one function, many seeds, in batches; results do not depend on the order.

The function takes a seed and gives a JSON value. With a file to keep results in, a campaign that
was cut goes on where it stopped: one line a seed, appended as each batch comes in.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import Executor, as_completed
from pathlib import Path
from typing import Any

Function = Callable[[int], Any]
Progress = Callable[[int, int], None]
Batch = dict[int, Any]


def run(
    function: Function,
    seeds: Iterable[int],
    executor: Executor | None = None,
    *,
    batch_size: int = 8,
    progress: Progress | None = None,
    kept_in: Path | None = None,
) -> dict[int, Any]:
    """Return {seed: function(seed)} in the order of the seeds, whatever order they finish in.

    ``executor`` None runs here, one after the other. ``progress`` gets (done, all) after each
    batch. ``kept_in`` is a file of results: seeds that stand in it are not run again. An error of
    the function stops the campaign and is raised here; finished batches stay kept.
    """
    wanted = list(dict.fromkeys(seeds))
    kept = read_kept(kept_in) if kept_in else {}
    results = {seed: kept[seed] for seed in wanted if seed in kept}
    missing = [seed for seed in wanted if seed not in results]
    for batch in _batches(function, _split(missing, batch_size), executor):
        results.update(batch)
        if kept_in:
            _append(kept_in, batch)
        if progress:
            progress(len(results), len(wanted))
    return {seed: results[seed] for seed in wanted}


def _split(seeds: Sequence[int], size: int) -> list[Sequence[int]]:
    return [seeds[start : start + size] for start in range(0, len(seeds), size)]


def _run_batch(function: Function, seeds: Sequence[int]) -> Batch:
    # through JSON and back, so that a result just made equals one read from the file
    return {seed: json.loads(json.dumps(function(seed))) for seed in seeds}


def _batches(
    function: Function, groups: list[Sequence[int]], executor: Executor | None
) -> Iterator[Batch]:
    if executor is None:
        yield from (_run_batch(function, group) for group in groups)
        return
    waiting = [executor.submit(_run_batch, function, group) for group in groups]
    try:
        for future in as_completed(waiting):
            yield future.result()
    finally:
        for future in waiting:
            future.cancel()


def read_kept(path: Path) -> Batch:
    """What a campaign kept in this file so far; none where there is no such file."""
    if not path.exists():
        return {}
    found = (_parse(line) for line in path.read_text().splitlines())
    return dict(pair for pair in found if pair is not None)


def _parse(line: str) -> tuple[int, Any] | None:
    try:
        seed, result = json.loads(line)
    except ValueError:
        # the line that a kill cut short: its seed runs again
        return None
    return seed, result


def _append(path: Path, batch: Batch) -> None:
    # the line feed comes first, so that a line that a kill cut short cannot spoil the next
    with path.open("a") as file:
        file.writelines("\n" + json.dumps([seed, result]) for seed, result in batch.items())
