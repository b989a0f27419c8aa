"""Ten thousand curves with known truth: a pass is never wrong, a likely pass seldom."""

from __future__ import annotations

import numpy as np
import pytest

from heatwright.judging.board import BEAD_TOLERANCE_K
from host.judging.generated import bench, draw, outcome, shares

# what a likely pass is worth: of a hundred of them no more are wrong, near the windows' ends
WRONG_LIKELY_MOST = 0.25


@pytest.mark.campaign
def test_no_pass_is_wrong_and_few_likely_passes_are(counted) -> None:
    found = shares(counted(10_000))
    assert found.wrong_passes == 0
    assert found.passes > found.count / 50
    # a hundredth of the campaign holds some twenty likely passes: too few for the share
    assert found.wrong_likely <= WRONG_LIKELY_MOST * found.likely + 3


def test_the_generator_makes_good_and_bad_boards_and_a_bead_within_its_tolerance() -> None:
    good = [outcome(seed)[1] for seed in range(60)]
    assert 0.1 < sum(good) / len(good) < 0.6
    drawn = draw(3)
    assert np.abs(drawn.read_c - drawn.true_c).max() < BEAD_TOLERANCE_K + 1.0
    assert bench().fitted[0].part.limits.peak_c == 252.0
