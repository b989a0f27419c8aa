"""The page: how soon it is there, how fresh it is with eight open, its memory, its estimate."""

from __future__ import annotations

import sys
import tempfile
import time
from pathlib import Path

import numpy as np

sys.path.append(str(Path(__file__).resolve().parents[1]))

from heatwright.page.board_now import Watcher
from heatwright.records.lines import SAMPLE_FIELDS
from heatwright.running import session
from heatwright.running.connect import connect as controller
from heatwright.running.job import Asked, prepare
from page_open import Tab, begin, memory_mb, post, served

PAGES = 8
LOOK_S = 20.0
HOUR_S = 3600.0
FAST = 60
# None of the seeds that its numbers were chosen on (2 to 7).
SEEDS = range(101, 111)
HOT_C = 150.0


def figures() -> list[tuple[str, float, str, str]]:
    with (
        tempfile.TemporaryDirectory() as place,
        served(Path(place), "demo") as (address, pid, start_s),
    ):
        fresh = _fresh(address)
        first_mb = memory_mb(pid)
        run_s = _runs(address)
        return [
            ("page: cold start to first page", start_s, "s", ""),
            *fresh,
            ("page: server's memory after a run", first_mb, "MB", ""),
            ("page: its memory after an hour of runs", memory_mb(pid), "MB", "printed"),
            ("page: that hour, simulated", run_s / 60, "min", ">= 60"),
            *_estimates(),
        ]


def _fresh(address: str) -> list[tuple[str, float, str, str]]:
    """Views a second on each of eight pages, and how far apart the pages get the same one."""
    post(address, "/speed", speed="5")
    begin(address, on="sim:toaster", paste="sac305", sensor="board_sensor")
    tabs = [Tab(address) for _ in range(PAGES)]
    time.sleep(LOOK_S)
    came = [tab.came[-50:] for tab in tabs]
    rate = min((len(one) - 1) / (one[-1] - one[0]) for one in came)
    together = min(len(one) for one in came)
    ends = np.array([one[-together:] for one in came])
    post(address, "/speed", speed=str(FAST))
    post(address, "/stop")
    tabs[0].over.wait(300)
    apart_ms = 1000 * float(np.percentile(np.ptp(ends, axis=0), 99))
    return [
        (f"page: views a second, {PAGES} pages", rate, "1/s", ">= 9"),
        (f"page: same view on {PAGES} pages, apart, p99", apart_ms, "ms", "<= 100"),
    ]


def _runs(address: str) -> float:
    """Run after run until an hour of them was recorded; returns the simulated seconds."""
    gone_s = 0.0
    while gone_s < HOUR_S:
        began = time.monotonic()
        begin(address, on="sim:toaster", paste="sac305", sensor="board_sensor")
        tab = Tab(address)
        tab.over.wait(600)
        gone_s += FAST * (tab.came[-1] - tab.came[0]) if tab.came else 0.0
        assert time.monotonic() - began < 600, "a run did not end"
    return gone_s


def _estimates() -> list[tuple[str, float, str, str]]:
    """The live estimate against the board that nobody sees, sensor in the air, hot."""
    rms, inside = np.mean([_estimate(seed) for seed in SEEDS], axis=0)
    of = f"page: live board over {HOT_C:g} °C, {len(SEEDS)} toasters"
    return [(f"{of}: RMS", rms, "K", "printed"), (f"{of}: in its band", 100 * inside, "%", ">= 95")]


def _estimate(seed: int) -> tuple[float, float]:
    asked = Asked(on="sim:toaster", source="toaster", seed=seed)
    job, target = prepare(asked), controller(asked, None)
    session.arm(target, job.data, job.plan.id)
    target.ask("start")
    watcher, off_k = Watcher(job.placing, job.source, asked.ambient_c), []
    for line in target.lines():
        if line[0] == "s":
            now = watcher.see(dict(zip(SAMPLE_FIELDS, line[1:], strict=True)))
        elif line[0] == "t" and line[3] > 1000 * HOT_C:
            off_k.append((now.board_c - line[3] / 1000, now.band_k))
    error, band = np.array(off_k).T
    return float(np.sqrt(np.mean(error**2))), float(np.mean(np.abs(error) <= band))
