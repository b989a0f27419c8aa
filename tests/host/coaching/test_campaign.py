"""The simulated person on sources within 15 %: inside the windows more often than a recipe."""

import pytest

from coaching_made import BY_HAND, by_recipe, coached, lot

RUNS = 500
# None of the seeds that constants were chosen on: those were 1 to 24 and 1001 to 1100.
FIRST_SEED = 2001


@pytest.mark.campaign
@pytest.mark.parametrize("source", BY_HAND)
def test_a_slow_hand_with_the_coach_keeps_the_windows(source, counted):
    seeds = range(FIRST_SEED, FIRST_SEED + counted(RUNS))
    own, recipe = lot(source, coached, seeds), lot(source, by_recipe, seeds)
    print(source, own, recipe)
    assert own.inside >= 0.8
    assert own.inside > recipe.inside
    assert (own.hasty, own.contradicting) == (0, 0)
    if source != "hot-air":
        assert own.peak_error_k <= 8.0
