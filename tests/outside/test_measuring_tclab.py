"""The same command on a plant that no one here wrote: PyPI `tclab`, version 1.0.0.

Its model (two heaters, two thermistors, first-order heat loss) is of another physics than any
source here; it has no board, and it floors its readings to steps of 0.3223 C, a bias of -0.16 C.
"""

from __future__ import annotations

import json
import random
from collections.abc import Callable
from pathlib import Path

import pytest
import tclab
from click.testing import CliRunner

from heatwright.commands.measure import command

SECONDS = 1200


def steps(time_s: int) -> float:
    return 0.6 if time_s < 350 else 0.0 if time_s < 600 else 0.9 if time_s < 800 else 0.2


def others(time_s: int) -> float:
    return 0.3 if time_s < 250 else 0.8 if time_s < 500 else 0.0 if time_s < 800 else 0.5


def log(path: Path, duty: Callable[[int], float]) -> Path:
    """Raw readings once a second, as a logger writes them."""
    random.seed(1)
    lab = tclab.TCLabModel(synced=False)
    rows = ["time_s,duty,sensor_c"]
    for time_s in range(SECONDS):
        rows.append(f"{time_s},{duty(time_s)},{lab.T1:.4f}")
        lab.Q1(100 * duty(time_s))
        lab.update(time_s + 1.0)
    path.write_text("\n".join(rows) + "\n")
    return path


def test_the_model_is_the_published_one() -> None:
    """Q1 = 50 %: 34.206 C after 100 s and 46.952 C after 300 s (recomputed with tclab 1.0.0)."""
    lab = tclab.TCLabModel(synced=False)
    lab.Q1(50)
    lab.update(100.0)
    assert pytest.approx(34.206, abs=0.01) == lab._T1
    lab.update(300.0)
    assert pytest.approx(46.952, abs=0.01) == lab._T1


def test_fit_on_raw_readings(tmp_path: Path) -> None:
    first, second = log(tmp_path / "first.csv", steps), log(tmp_path / "second.csv", others)
    words = [str(first), "--kind", "hot-plate", "--check", str(second), "--json"]
    result = CliRunner().invoke(
        command, [*words, "--out", str(tmp_path / "lab.toml")], catch_exceptions=False
    )
    found = json.loads(result.stdout)
    assert found["fit_percent"] >= 97.0
    assert found["held_out_runs"]["second"]["sensor"]["fit_percent"] >= 97.0
