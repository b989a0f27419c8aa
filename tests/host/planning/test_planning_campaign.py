"""The large counts behind the bench: whole with --whole, a hundredth otherwise."""

import time

import numpy as np
import pytest

from benchmarks.planning import refined, tracking, wanted
from heatwright.documents import load_source
from heatwright.planning.ensemble import verify
from heatwright.planning.making import make_plan
from heatwright.planning.trial import Trial

PLANTS, SOURCES = 200, 10_000


@pytest.mark.campaign
def test_a_plan_is_followed_on_sources_of_its_kind(counted):
    ours, best, alone, _ = tracking("toaster", counted(PLANTS)).T
    assert np.percentile(ours, 95) <= 1.0
    assert best.mean() < ours.mean() < alone.mean() / 2


@pytest.mark.campaign
def test_three_runs_with_a_bead_beside_the_air_sensor(counted):
    runs = np.array([refined("toaster", seed, "sensor") for seed in range(1, counted(PLANTS) + 1)])
    assert runs[:, 2].mean() <= 0.15 * runs[:, 0].mean()


@pytest.mark.campaign
def test_a_large_ensemble_that_was_cut_goes_on_where_it_stopped(counted, tmp_path):
    source, sources, kept = load_source("drawer"), counted(SOURCES), tmp_path / "trials.jsonl"
    trial = Trial(make_plan(source, wanted()).plan, source, wanted())
    began_s = time.perf_counter()
    verify(trial, sources // 2, kept_in=kept)
    first = kept.read_text()
    found = verify(trial, sources, kept_in=kept)
    print(f"{sources} sources in {time.perf_counter() - began_s:.0f} s: {found.sentence()}")
    assert kept.read_text().startswith(first), "what was done is not done again"
    assert list(found.results) == list(range(1, sources + 1))
    assert found.in_window >= 0.9 * sources
