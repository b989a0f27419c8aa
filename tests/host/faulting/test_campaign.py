"""What a campaign runs: its moments, and thresholds for how well a source is known."""

from heatcore import plan
from heatsim import seeds
from heatwright.documents import load_source
from heatwright.faulting.campaign import moments
from heatwright.planning.residual import residual_limits, spread_of


def test_thresholds_for_the_kind_are_wider_than_for_a_measured_source(drawer):
    source = load_source("drawer")
    kind = residual_limits(source, drawer.plan)
    assert spread_of(source) == seeds.KIND_SPREAD
    assert drawer.spread == seeds.MEASURED_SPREAD
    assert _trip_sum(drawer.plan) < _trip_sum(kind)


def _trip_sum(data):
    rows = plan.read(data).deviation
    return sum(rows[row + plan.TRIP_MK] for row in range(0, len(rows), plan.DEVIATION_WIDTH))


def test_moments_lie_in_the_run_in_order(drawer):
    found = moments(plan.read(drawer.plan))
    times = [moment.at_s for moment in found]
    assert times == sorted(times)
    assert len(times) >= 8
    assert times[-1] < plan.read(drawer.plan).t_ms[-1] / 1000
