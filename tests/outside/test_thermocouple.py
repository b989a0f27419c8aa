"""Type K against PyPI `thermocouple-its90` 1.0.2, which holds the ITS-90 reference functions of
NIST Monograph 175 (IEC 60584-1) and inverts them exactly.
"""

import pytest
from thermocouple_its90 import TypeK

from heatcore import thermocouple
from heatcore.thermocouple import EMF, LINE_41, LINE_41_276, LOW_MC, STEP_MC


def tenth_uv(celsius: float) -> float:
    return TypeK.emf(celsius) * 10_000


def test_the_table_is_the_reference_function_rounded():
    """How the table was made; made again here."""
    made = [round(tenth_uv((LOW_MC + row * STEP_MC) / 1000)) for row in range(len(EMF))]
    assert list(EMF) == made


def test_temperature_within_20_mk_from_minus_20_to_500():
    worst = max(
        abs(thermocouple.temperature(round(tenth_uv(mc / 1000))) - mc)
        for mc in range(-20_000, 500_001, 73)
    )
    assert worst <= 10  # the promise is 20


def test_emf_within_half_a_microvolt():
    worst = max(
        abs(thermocouple.emf(mc) - tenth_uv(mc / 1000)) for mc in range(-20_000, 500_001, 73)
    )
    assert worst <= 5


@pytest.mark.parametrize(("line", "uv_per_k"), [(LINE_41_276, 41.276), (LINE_41, 41.0)])
@pytest.mark.parametrize("cold_c", [-10.0, 0.0, 25.0, 47.3, 70.0])
def test_a_straight_line_is_undone(line, uv_per_k, cold_c):
    """A converter's straight line as its data sheet gives it (MAX31855, MAX6675), in floats."""
    for true_c in range(-20, 501, 4):
        uv = (TypeK.emf(true_c) - TypeK.emf(cold_c)) * 1000
        says_mc = round((cold_c + uv / uv_per_k) * 1000)
        found_mc = thermocouple.undo_line(says_mc, round(cold_c * 1000), line)
        assert abs(found_mc - true_c * 1000) <= 20


def test_cold_junction_compensation():
    for mv in (0.0, 1.0, 4.096, 8.819, 10.153):
        exact_c = TypeK.temperature(mv, reference=25.0)
        found_mc = thermocouple.temperature(round(mv * 10_000) + thermocouple.emf(25_000))
        assert abs(found_mc - exact_c * 1000) <= 10
