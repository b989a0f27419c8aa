"""What planning costs: one plan, its verification, ticks a second; here, in processes, on Dask."""

import time
from functools import cache

from distributed import LocalCluster

from heatcore.loop import ControlLoop
from heatwright.documents import load_paste, load_profile, load_source
from heatwright.planning import ensemble
from heatwright.planning.making import make_plan
from heatwright.planning.trial import Trial
from heatwright.planning.wanted import Wanted

Row = tuple[str, float, str, str]
# So many trials tell the cost of one, in batches that two workers share evenly; the sources of the
# verification itself are counted whole.
FEW, LARGE_COUNT = 8 * ensemble.BATCH, 10_000


@cache
def planned():
    """A plan, and how long it took, s."""
    wanted = Wanted(load_paste("sac305"), load_profile("sac305"), True, "board_sensor")
    source = load_source("toaster")
    began_s = time.perf_counter()
    plan = make_plan(source, wanted).plan
    return Trial(plan, source, wanted), time.perf_counter() - began_s


def _plan_rows():
    trial, took_s = planned()
    yield "one plan", took_s, "s", "<= 20"
    began_s = time.perf_counter()
    found = ensemble.verify(trial)
    yield f"{found.sources} sources verified", time.perf_counter() - began_s, "s", "<= 30"
    yield "share that works", found.in_window / found.sources, "", "printed"


def _each_s(**how):
    """Seconds a source, workers and all set up before; and what came out."""
    trial, _ = planned()
    began_s = time.perf_counter()
    found = ensemble.verify(trial, FEW, **how)
    return (time.perf_counter() - began_s) / FEW, found.results


def _large_rows():
    ways = {"one core": {"workers": 1}, "two cores": {"workers": 2}}
    for name, how in ways.items():
        each_s, _ = _each_s(**how)
        yield f"cost of a source, {name}", each_s, "s", "printed"
        yield f"10,000 sources, {name} (reckoned)", LARGE_COUNT * each_s, "s", "printed"
    yield from _dask_rows()
    yield from _tick_rows()


def _dask_rows():
    local = {"n_workers": 2, "threads_per_worker": 1, "dashboard_address": None}
    with LocalCluster(**local) as cluster:
        address = cluster.scheduler_address
        ensemble.verify(planned()[0], 2, cluster=address)
        each_s, there = _each_s(cluster=address)
    yield "cost of a source, Dask, two workers", each_s, "s", "printed"
    yield "10,000 sources, Dask (reckoned)", LARGE_COUNT * each_s, "s", "printed"
    yield "Dask: results as here", float(there == _each_s(workers=1)[1]), "", "1"


def _tick_rows():
    """Ticks a second and core, and the share of a trial that is spent in the core."""
    trial, _ = planned()
    spent, tick = [0.0, 0], ControlLoop.tick

    def timed(self, now_ms, inputs):
        began_s = time.perf_counter()
        command = tick(self, now_ms, inputs)
        spent[0] += time.perf_counter() - began_s
        spent[1] += 1
        return command

    ControlLoop.tick = timed
    began_s = time.perf_counter()
    try:
        trial(1)
    finally:
        ControlLoop.tick = tick
    took_s = time.perf_counter() - began_s
    yield "ticks a second and core", spent[1] / took_s, "1/s", "printed"
    yield "share spent in the core", spent[0] / took_s, "", "printed"


def figures() -> list[Row]:
    """Rows of name, value, unit and bar."""
    return [row for group in (_plan_rows, _large_rows) for row in group()]
