"""Mains, actuator and seeds: what reaches the element, and what a seed stands for."""

from random import Random

import pytest

from heatsim import mains
from heatsim.actuator import Actuator
from heatsim.mains import Mains, Sag
from heatsim.params import number_fields
from heatsim.seeds import FIXED, MEASURED_SPREAD, draw, draw_surroundings, variation
from heatwright.documents import load_source


def mean_share(actuator: Actuator, duty: int, relay: int = 1, ticks: int = 400) -> float:
    return sum(actuator.share(0.25, duty, relay) for _ in range(ticks)) / ticks


@pytest.mark.parametrize("duty", [0, 137, 500, 3333, 5000, 9800, 10000])
@pytest.mark.parametrize("mains_hz", [50, 60])
def test_bursts_add_up_to_the_duty(duty, mains_hz):
    assert mean_share(Actuator(mains_hz), duty) == pytest.approx(duty / 10000, abs=0.002)


def test_each_tick_is_made_of_whole_cycles():
    actuator = Actuator(50)
    cycles = [actuator.share(0.25, 5000, 1) * whole for whole in (12, 13) * 4]
    assert all(abs(count - round(count)) < 1e-9 for count in cycles)


def test_an_open_relay_means_no_heat():
    assert mean_share(Actuator(), 9800, relay=0) == 0.0


def test_welded_parts_conduct_whatever_is_said():
    welded = Actuator()
    welded.ssr_stuck = 1.0
    assert mean_share(welded, 0) == 1.0
    assert mean_share(welded, 0, relay=0) == 0.0
    welded.relay_stuck = 1
    assert mean_share(welded, 0, relay=0) == 1.0


def test_one_welded_half_wave_is_half_the_heat_and_the_rest_as_told():
    half = Actuator()
    half.half_wave_stuck = True
    assert mean_share(half, 0) == 0.5
    assert mean_share(half, 10000) == 1.0
    assert mean_share(half, 5000) == pytest.approx(0.75, abs=0.002)
    assert mean_share(half, 0, relay=0) == 0.0


def test_half_an_element_gives_half_the_heat():
    weak = Actuator()
    weak.element_share = 0.5
    assert mean_share(weak, 10000) == 0.5


def test_mains_drift_about_their_level_and_sag_when_told():
    supply = Mains(
        level=0.95,
        drift=0.02,
        drift_period_s=100.0,
        sags=(Sag(start_s=50, length_s=10, depth=0.3),),
    )
    assert supply.ratio(25.0) == pytest.approx(0.97)
    assert supply.ratio(75.0) == pytest.approx(0.93)
    assert supply.ratio(49.9) == pytest.approx(0.95, abs=0.001)
    assert supply.ratio(50.0) == pytest.approx(0.95 * 0.7, abs=0.001)
    assert supply.ratio(60.0) == pytest.approx(0.95, abs=0.02)


def test_drawn_mains_stay_within_ten_percent():
    ratios = [mains.drawn(Random(seed)).ratio(t) for seed in range(200) for t in range(0, 900, 60)]
    assert min(ratios) >= 0.9
    assert max(ratios) <= 1.1
    assert max(ratios) - min(ratios) > 0.15


def test_seed_nought_is_the_nominal_source():
    params = load_source("toaster").plant_params()
    drawn = draw(params, 0)
    assert drawn.params == params
    assert drawn.mains.ratio(123.0) == 1.0
    assert (drawn.sensor.noise_k, drawn.sensor.junction_error_k) == (0.0, 0.0)


def test_a_seed_always_draws_the_same_and_another_something_else():
    params = load_source("toaster").plant_params()
    first, again, other = draw(params, 1), draw(params, 1), draw(params, 2)
    assert (first.params, first.mains) == (again.params, again.mains)
    assert first.sensor.junction_error_k == again.sensor.junction_error_k
    assert first.params != other.params
    assert first.mains != other.mains
    supply, sensor = draw_surroundings(1)
    assert supply == first.mains
    assert sensor.junction_error_k == first.sensor.junction_error_k


def test_a_draw_stays_within_its_spread_and_moves_every_number():
    params = load_source("convection").plant_params()
    many = [variation(params, MEASURED_SPREAD, Random(seed)) for seed in range(100)]
    for one in number_fields():
        nominal = getattr(params, one.name)
        drawn = [getattr(each, one.name) for each in many]
        assert max(abs(value - nominal) for value in drawn) <= MEASURED_SPREAD * nominal + 1e-12
        if nominal and one.name not in FIXED:
            assert max(drawn) - min(drawn) > 0.04 * nominal
