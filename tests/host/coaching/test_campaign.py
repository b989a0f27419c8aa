"""The simulated person on sources within 15 %: inside the windows more often than a recipe."""

import pytest

from coaching_made import BY_HAND, by_recipe, coached, lot

RUNS = 500


@pytest.mark.campaign
@pytest.mark.parametrize("source", BY_HAND)
def test_a_slow_hand_with_the_coach_keeps_the_windows(source, counted):
    seeds = range(1, counted(RUNS) + 1)
    own, recipe = lot(source, coached, seeds), lot(source, by_recipe, seeds)
    assert own.inside >= 0.8
    assert own.inside > recipe.inside
    if source != "hot-air":
        assert own.peak_error_k <= 8.0
