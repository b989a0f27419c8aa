"""Many sources that no fitted model equals: the figures of the benchmark, by the hundred."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from benchmarks import measuring as bench
from benchmarks.__main__ import told as line

SOURCES, MARKED, FEWEST = 200, 100, 2
# Volts that drift may alone be off by more than is asked for (the drawer's do): a fit comes near
# what it would be with all but the volts known.
NEAR_THE_VOLTS, NEAR_THEIR_FIT = 1.2, 0.6


@pytest.mark.campaign
@pytest.mark.parametrize("kind", bench.KINDS)
def test_one_run_with_a_scrap_board(kind: str, counted: Callable[[int], int], whole: bool) -> None:
    sources = bench.seeds(max(counted(SOURCES), FEWEST))
    found = np.array([bench.measured_error(kind, one) for one in sources])
    print(*map(line, bench.board_rows(kind, found)), sep="\n")
    rms_c, fit_percent, of_volts_c, their_fit = found.mean(axis=0)
    # the mean of a few sources is not that of all: three standard errors of it are allowed for
    unsure = 0.0 if whole else 3.0 / np.sqrt(len(found))
    rms_sd_c, fit_sd_percent, *_ = unsure * found.std(axis=0, ddof=1)
    assert rms_c <= max(2.0, NEAR_THE_VOLTS * of_volts_c) + rms_sd_c
    assert fit_percent >= min(97.0, their_fit - NEAR_THEIR_FIT) - fit_sd_percent


@pytest.mark.campaign
@pytest.mark.parametrize("kind", bench.OVENS)
def test_marks_with_an_air_sensor(kind: str, counted: Callable[[int], int], whole: bool) -> None:
    """The same bars at any count: few sources have no worse a 95th percentile than many."""
    told = [bench.marked_errors(kind, one) for one in bench.seeds(counted(MARKED))]
    print(*map(line, bench.mark_rows({kind: told})), sep="\n")
    errors = np.abs([[one.error_k for one in each] for each in told])
    assert np.percentile(errors[:, 1], 95) <= 8.5
    assert np.percentile(errors[:, 3], 95) <= 3.5
    inside = np.mean([[one.inside for one in each[1:]] for each in told])
    # three peaks of one source go together: none of them, or all
    assert inside >= (0.85 if whole else 0.5)
