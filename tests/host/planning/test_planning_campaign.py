"""The large counts behind the bench: whole with --whole, a hundredth otherwise."""

import numpy as np
import pytest

from benchmarks.planning import refined, tracking

PLANTS = 200


@pytest.mark.campaign
def test_a_plan_is_followed_on_sources_of_its_kind(counted):
    ours, best, alone = tracking("toaster", counted(PLANTS)).T
    assert np.percentile(ours, 95) <= 1.0
    assert best.mean() < ours.mean() < np.nanmean(alone) / 2


@pytest.mark.campaign
def test_three_runs_with_a_bead_beside_the_air_sensor(counted):
    runs = np.array([refined("toaster", seed, "sensor") for seed in range(1, counted(PLANTS) + 1)])
    assert runs[:, 2].mean() <= 0.15 * runs[:, 0].mean()
