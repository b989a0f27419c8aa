"""How much heat joints got: informative figures, judged by no window.

Sources. Heating factor: an optimum near 510 K s was published for µBGA joints (DOI
10.1108/09540910910989420, abstract; the unit is from memory). Intermetallic layer: liquid SAC on
copper grows with the root of time, activation energy 65.69 kJ/mol (conference abstract), so only
ratios are given: 1.0 is the layer of one minute at 230 °C.
"""

from __future__ import annotations

import math

import numpy as np

from heatwright.judging.curves import Floats, area_above

ACTIVATION_J_MOL, GAS_J_MOL_K = 65_690.0, 8.314462618
REFERENCE_C, REFERENCE_S = 230.0, 60.0
ZERO_C_IN_K = 273.15


def heating_factor_k_s(time_s: Floats, board_c: Floats, above_c: float) -> float:
    """The integral of board minus liquidus while above it, K s."""
    return area_above(time_s, board_c, above_c)


def growth_rate(board_c: Floats) -> Floats:
    """Rate constant of the intermetallic layer over that at 230 °C."""
    inverse = 1.0 / (REFERENCE_C + ZERO_C_IN_K) - 1.0 / (board_c + ZERO_C_IN_K)
    return np.asarray(np.exp(ACTIVATION_J_MOL / GAS_J_MOL_K * inverse))


def intermetallic_growth(time_s: Floats, board_c: Floats, above_c: float) -> float:
    """Thickness of the layer grown while molten, over that of one minute at 230 °C."""
    molten = (board_c[:-1] >= above_c) & (board_c[1:] >= above_c)
    rate = growth_rate(board_c)
    area_s = float((np.diff(time_s) * (rate[:-1] + rate[1:]) / 2.0)[molten].sum())
    return math.sqrt(area_s / REFERENCE_S)
