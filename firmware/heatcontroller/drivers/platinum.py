# A PT100's resistance to temperature, after Callendar and Van Dusen with the coefficients of
# IEC 60751: R = R0 (1 + A t + B t^2), A = 3.9083e-3, B = -5.775e-7, R0 = 100 ohm. Below 0 degrees
# the standard has a third term; down to -20 it is worth 1 mK and is left out.

MIN_MC = -20000
MAX_MC = 400000

# Resistances are in 0.1 milliohm: R0 is 1,000,000, and 1 mK is about 4 units.
_R0 = 1000000
_STEPS = 3  # Newton on a nearly straight line: two steps reach 1 mK, one more is for certainty


def resistance(mc: int) -> int:
    # 3908.3 units a degree, less 0.5775 (231/400) a degree squared; t is split as q + r/1000.
    q = mc // 1000
    r = mc - q * 1000
    straight = q * 39083 // 10 + r * 39083 // 10000
    bend = q * q * 231 // 400 + q * r * 231 // 200000
    return _R0 + straight - bend


def temperature_mc(units: int) -> int:
    mc = (units - _R0) * 256 // 1000
    for _ in range(_STEPS):
        degrees = mc // 1000
        slope = 3908 - degrees * 231 // 200
        mc += (units - resistance(mc)) * 1000 // slope
    return mc


def code_mc(code: int) -> int:
    # Full scale (32768) is the 400 ohm reference resistor: 15625/128 units a step.
    return temperature_mc(code * 15625 // 128)
