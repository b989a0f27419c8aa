"""PT100 against IEC 60751 and the MAX31865's data sheet."""

from heatcontroller.drivers import platinum

# MAX31865 data sheet, table 9 (PT100, 400 ohm reference): degrees, register word.
TABLE_9 = ((0, 0x4000), (50, 0x4C6A), (100, 0x58A4), (150, 0x64B0), (200, 0x708C), (250, 0x7C3A))

# IEC 60751, table of PT100 resistances (ohm), from memory; recomputed below from its equation.
IEC_60751 = ((-20, 92.16), (0, 100.00), (50, 119.40), (100, 138.51), (200, 175.86), (300, 212.05))


def equation(degrees):
    """IEC 60751's own equation with its coefficients, in floating point, below and above 0."""
    third = -4.183e-12 * (degrees - 100) * degrees**3 if degrees < 0 else 0.0
    return 100.0 * (1 + 3.9083e-3 * degrees - 5.775e-7 * degrees**2 + third)


def test_codes_of_the_data_sheet():
    # One step of the code is 30 to 34 mK here: the table's words are the nearest below or above.
    for degrees, word in TABLE_9:
        assert abs(platinum.code_mc(word >> 1) - degrees * 1000) <= 34


def test_resistances_of_the_standard():
    for degrees, ohm in IEC_60751:
        assert abs(equation(degrees) - ohm) <= 0.0051
        assert abs(platinum.resistance(degrees * 1000) - ohm * 10000) <= 51


def test_integers_follow_the_equation_everywhere():
    for mc in range(platinum.MIN_MC, platinum.MAX_MC + 1, 777):
        units = int(equation(mc / 1000) * 10000 + 0.5)
        assert abs(platinum.temperature_mc(units) - mc) <= 2


def test_every_code_stays_in_thirty_bits():
    # The largest partial products, written as the module computes them.
    for code in (0, 1, 8192, 15901, 32767):
        units = code * 15625 // 128
        mc = platinum.code_mc(code)
        degrees = mc // 1000
        rest = mc - degrees * 1000
        for product in (code * 15625, (units - 1000000) * 256, degrees * degrees * 231):
            assert -(1 << 30) <= product < 1 << 30
        assert -(1 << 30) <= degrees * rest * 231 < 1 << 30
    assert platinum.code_mc(0) < platinum.MIN_MC
    assert platinum.code_mc(32767) > platinum.MAX_MC


def test_codes_rise_with_temperature():
    before = platinum.code_mc(7000)
    for code in range(7001, 20000, 7):
        now = platinum.code_mc(code)
        assert now > before
        before = now
