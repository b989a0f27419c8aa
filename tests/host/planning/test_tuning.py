"""SIMC rules, the half rule and the step fit against the published figures."""

import numpy as np
import pytest

from heatwright.planning.tuning import FirstOrder, fit_step, half_rule, simc


def first_order_step(time_s, model: FirstOrder, step_duty: float):
    late = np.clip(time_s - model.dead_s, 0, None)
    return model.gain_k * step_duty * (1 - np.exp(-late / model.time_s))


def test_simc_on_the_table_of_the_papers() -> None:
    # (K, T, L) = (1, 10, 1): SIMC gives 5/8 (check of Skogestad 2003, table recomputed)
    gains = simc(FirstOrder(1.0, 10.0, 1.0))
    assert gains.duty_per_k == pytest.approx(5.0)
    assert gains.integral_s == pytest.approx(8.0)


def test_simc_integral_is_the_time_constant_where_the_dead_time_is_long() -> None:
    gains = simc(FirstOrder(2.0, 10.0, 5.0))
    assert gains.integral_s == pytest.approx(10.0)
    assert gains.duty_per_k == pytest.approx(0.5)


def test_half_rule_on_the_papers_example() -> None:
    # 1/((s+1)(0.2s+1)(0.04s+1)(0.008s+1)): dead time 0.148, lag 1.1, PI 3.716 / 1.1.
    # Skogestad 2003 (example E1); the reduction recomputed, the paper's print from memory.
    time_s, dead_s = half_rule([0.04, 1.0, 0.008, 0.2])
    assert (time_s, dead_s) == (pytest.approx(1.1), pytest.approx(0.148))
    gains = simc(FirstOrder(1.0, time_s, dead_s))
    assert gains.duty_per_k == pytest.approx(3.716, abs=5e-4)
    assert gains.integral_s == pytest.approx(1.1)


@pytest.mark.parametrize(
    "model",
    [FirstOrder(400.0, 300.0, 20.0), FirstOrder(90.0, 25.0, 12.0), FirstOrder(5.0, 40.0, 0.5)],
)
@pytest.mark.parametrize("horizon_in_lags", [0.5, 4.0])
def test_a_step_fit_finds_the_model_that_made_it(model: FirstOrder, horizon_in_lags: float) -> None:
    time_s = np.arange(0, model.dead_s + horizon_in_lags * model.time_s, 0.25)
    found = fit_step(time_s, first_order_step(time_s, model, 0.2), 0.2)
    assert found.gain_k == pytest.approx(model.gain_k, rel=0.02)
    assert found.time_s == pytest.approx(model.time_s, rel=0.02)
    assert found.dead_s == pytest.approx(model.dead_s, abs=0.3)


def test_a_source_that_only_integrates_keeps_its_slope() -> None:
    time_s = np.arange(0, 200, 0.25)
    found = fit_step(time_s, np.clip(time_s - 15, 0, None) * 0.8 * 0.3, 0.3)
    assert found.slope_k_s == pytest.approx(0.8, rel=0.02)
    assert found.dead_s == pytest.approx(15, abs=0.5)
    # Ti = 8L, the integrating case of Skogestad 2003
    assert simc(found).integral_s == pytest.approx(8 * 15, rel=0.05)


@pytest.mark.parametrize("rise", [np.zeros(400), -np.ones(400), -np.linspace(0, 5, 400)])
def test_a_response_that_does_not_rise_is_refused(rise) -> None:
    with pytest.raises(ValueError, match="does not rise"):
        fit_step(np.arange(400) / 4, rise, 0.2)
