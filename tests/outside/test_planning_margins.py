"""Margins and gains along a trajectory against PyPI `control`, an independent control library."""

import control
import numpy as np
import pytest

from heatwright.documents import load_source
from heatwright.planning.margins import FREQUENCIES, LOOP_DELAY_S, margins, open_loop, regulator
from heatwright.planning.model import Model
from heatwright.planning.response import linearised, warmed
from heatwright.planning.schedule import MS_MAX, row_at, second_order
from heatwright.planning.tuning import Gains, SecondOrder, simc_pid


@pytest.fixture(scope="module", params=["toaster", "drawer", "hot-plate"])
def source(request):
    model = Model(load_source(request.param).plant_params())
    state = warmed(model, 180.0)
    return model, state, linearised(model, state, 0.6, "board_sensor")


def of_control(linear, gains):
    """The same loop, built from blocks of `control`; the delay as Pade of order 8."""
    s = control.tf("s")
    pid = gains.duty_per_k * (
        1 + 1 / (gains.integral_s * s) + gains.derivative_s * s / (gains.filter_s * s + 1)
    )
    plant = control.ss(linear.a, linear.b[:, None], linear.c[None, :], 0)
    return plant * control.ss(pid) * control.ss(control.tf(*control.pade(LOOP_DELAY_S, 8)))


def test_the_frequency_response_is_that_of_the_state_space(source):
    linear = source[2]
    plant = control.ss(linear.a, linear.b[:, None], linear.c[None, :], 0)
    ours, theirs = linear.at(FREQUENCIES), plant(1j * FREQUENCIES)
    assert np.abs(ours - theirs).max() < 1e-9 * np.abs(theirs).max()


def test_margins_are_those_of_control(source):
    model, state, linear = source
    gains = row_at([model], state, 0.6, "board_sensor").gains
    found = margins(open_loop(linear, gains))
    gain, phase, _, _, crossover, _ = control.stability_margins(of_control(linear, gains))
    assert found.gain == pytest.approx(gain, rel=5e-3)
    assert found.phase_deg == pytest.approx(phase, abs=0.1)
    assert found.delay_s == pytest.approx(np.radians(phase) / crossover, rel=5e-3)


def test_the_closed_loop_is_stable_and_calm_on_every_source_it_was_tuned_for(source):
    model, state, linear = source
    row = row_at([model], state, 0.6, "board_sensor")
    assert row.worst_ms <= MS_MAX
    closed = control.feedback(of_control(linear, row.gains))
    assert max(np.real(control.poles(closed))) < 0


def test_two_lags_and_a_dead_time_stand_for_nine_nodes_where_the_loop_lives(source):
    linear = source[2]
    found = second_order(linear)
    s = 1j * FREQUENCIES
    model = found.gain_k * np.exp(-found.dead_s * s)
    model /= (found.time_s * s + 1) * (found.second_s * s + 1)
    true = linear.at(FREQUENCIES) * np.exp(-s * LOOP_DELAY_S)
    phase = np.unwrap(np.angle(true))
    lives = (phase < -np.pi / 2) & (phase > -np.pi)
    assert np.abs(model / true - 1)[lives].max() < 0.1


def test_simc_pid_in_the_ideal_form():
    # K = 1, T1 = 10, T2 = 2, L = 1, closed loop 1: series gain 10 / (1 * 2) = 5, Ti 8, Td 2
    # (Skogestad 2003, eqs. 23-25); ideal: 5 (1 + 2/8), 10, 8 * 2 / 10
    gains = simc_pid(SecondOrder(1.0, 10.0, 2.0, 1.0), 1.0)
    assert (gains.duty_per_k, gains.integral_s, gains.derivative_s) == pytest.approx(
        (6.25, 10, 1.6)
    )
    s = 1j * 0.01
    series = 5 * (1 + 1 / (8 * s)) * (1 + 2 * s)
    filtered = regulator(gains, np.array([0.01]))[0]
    assert filtered == pytest.approx(series, rel=1e-3)


def test_a_loop_of_dead_time_and_integrator_has_the_published_margins():
    # e^(-Ls) / (2Ls), L = 1: gain margin pi, phase margin 61.35 deg, Ms 1.59 (Skogestad 2003)
    loop = np.exp(-1j * FREQUENCIES) / (2j * FREQUENCIES)
    found = margins(loop)
    assert found.gain == pytest.approx(np.pi, rel=1e-3)
    assert found.phase_deg == pytest.approx(61.35, abs=0.02)
    assert found.delay_s == pytest.approx(2.1416, abs=2e-3)
    assert found.ms == pytest.approx(1.5905, abs=2e-3)


def test_a_proportional_loop_that_never_turns_far_has_no_end_of_gain():
    loop = 5.0 / (1 + 100j * FREQUENCIES)
    assert margins(loop).gain == np.inf
    assert margins(0.1 * loop).delay_s == np.inf
    assert Gains(0.1, 10.0).filter_s > 0
