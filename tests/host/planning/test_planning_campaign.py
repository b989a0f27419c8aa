"""The large counts behind the bench: whole with --whole, a hundredth otherwise."""

import time

import pytest

from benchmarks.__main__ import told, verdict
from benchmarks.planning import (
    KINDS,
    refined_rows,
    sensor_error_rows,
    tracking_rows,
    wanted,
    warm_rows,
)
from heatwright.documents import load_source
from heatwright.planning.ensemble import verify
from heatwright.planning.making import make_plan
from heatwright.planning.trial import Trial

PLANTS, REFINED, WARM, SOURCES = 200, 60, 60, 10_000
# A 95th percentile, and how far a mean falls, say nothing of one or two plants; these do.
OF_FEW = ("PID alone over ours, mean", "measured, run 3 over run 1", "peak, p95")


def is_known(name):
    """What is known to be missed."""
    # a bead that is followed exactly misses these too: it feels the air, in each plant otherwise
    of_the_optimum = name.endswith(("mean over the optimum's", "run 3 over the optimum's"))
    # heat in the elements carries the drawer on by 12 K, by more where it took more power, and the
    # bead at which heat ends does not know of that: with a junction that is off, too much at times
    return of_the_optimum or (name.startswith("drawer") and "junction" in name)


def missed(rows, whole):
    """Prints all; gives those beyond their bar, of which that was not known."""
    found = []
    for row in rows:
        name, value, _, bar = row
        print(told(row))
        if (
            verdict(value, bar) == "MISSED"
            and not is_known(name)
            and (whole or name.endswith(OF_FEW))
        ):
            found.append(name)
    return found


@pytest.mark.campaign
@pytest.mark.parametrize("kind", KINDS)
def test_a_plan_is_followed_on_sources_of_its_kind(kind, counted, whole):
    assert missed(tracking_rows(kind, counted(PLANTS)), whole) == []


@pytest.mark.campaign
@pytest.mark.parametrize("kind", KINDS)
def test_a_cold_junction_that_is_off_and_a_slow_bead(kind, counted, whole):
    assert missed(sensor_error_rows(kind, counted(PLANTS)), whole) == []


@pytest.mark.campaign
def test_starts_in_a_warm_oven(counted, whole):
    assert missed(warm_rows(counted(WARM)), whole) == []


@pytest.mark.campaign
@pytest.mark.parametrize("kind", KINDS)
def test_three_runs_with_a_bead_beside_the_sensor(kind, counted, whole):
    assert missed(refined_rows(kind, counted(REFINED)), whole) == []


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
