"""SIMC margins against PyPI `control`, an independent control library.

Figures: with a closed-loop time equal to the dead time the loop is e^(-Ls)/(2Ls) whatever the
process, so gain margin pi, phase margin 61.35 degrees, Ms 1.59, delay margin 2.1416 L are exact
(Skogestad, J. Process Control 13 (2003) 291-309, table 1; recomputed with `control` 0.10).
The integrating case (Ti = 8L): GM 2.96, PM 46.9 degrees, Ms 1.70 (same table). Its phase margin in
closed form: crossover w with 256 w^4 - 64 w^2 = 1, then atan(8 w) - w = 46.865 degrees.
"""

import control
import numpy as np
import pytest

from heatwright.planning.tuning import FirstOrder, simc


def loop_with_simc(model: FirstOrder):
    gains = simc(model)
    regulator = control.tf([gains.integral_s, 1], [gains.integral_s, 0]) * gains.duty_per_k
    # Pade of order 10: exact to 1e-6 rad at the frequencies of the margins
    dead = control.tf(*control.pade(model.dead_s, 10))
    return regulator * control.tf([model.gain_k], [model.time_s, 1]) * dead


def margins(model: FirstOrder) -> tuple[float, float, float, float]:
    loop = loop_with_simc(model)
    gain_margin, phase_margin, _, _, crossover, _ = control.stability_margins(loop)
    frequencies = np.geomspace(0.05, 20, 4000) / model.dead_s
    ms = np.max(np.abs(1 / (1 + loop(1j * frequencies))))
    return gain_margin, phase_margin, ms, np.radians(phase_margin) / crossover / model.dead_s


@pytest.mark.parametrize(
    "model", [FirstOrder(400.0, 100.0, 20.0), FirstOrder(90.0, 25.0, 12.0), FirstOrder(1.0, 8, 1.0)]
)
def test_simc_margins_with_the_time_constant_as_integral_time(model: FirstOrder) -> None:
    gain_margin, phase_margin, ms, delay_margin = margins(model)
    assert gain_margin == pytest.approx(np.pi, rel=1e-4)
    assert phase_margin == pytest.approx(61.35, abs=0.01)
    assert ms == pytest.approx(1.5905, abs=1e-3)
    assert delay_margin == pytest.approx(2.1416, abs=1e-3)


def test_simc_margins_of_an_integrating_source() -> None:
    # a time constant of 1e5 dead times is an integrator at every frequency that matters
    gain_margin, phase_margin, ms, _ = margins(FirstOrder(1e5, 1e5, 1.0))
    assert gain_margin == pytest.approx(2.965, abs=2e-3)
    assert phase_margin == pytest.approx(46.865, abs=0.01)
    assert ms == pytest.approx(1.702, abs=2e-3)
