"""Type K, ITS-90: temperature and voltage into each other, and straight-line converters undone.

The table holds the reference function of NIST Monograph 175 (IEC 60584-1) every 5 degrees from
-50 to 515, rounded to 0.1 uV. It was made with the Python package thermocouple-its90, and the tests
make it again and compare. Straight lines between its rows are within 0.01 degrees.
"""

from heatcore.inputs import NONE
from heatcore.numbers import Ratio

LOW_MC = -50_000
STEP_MC = 5_000
# fmt: off
EMF = (
    -18894, -17093, -15269, -13425, -11561, -9678, -7775, -5855, -3919, -1966, 0,
    1979, 3969, 5970, 7981, 10002, 12033, 14071, 16118, 18171, 20231, 22296,
    24365, 26437, 28512, 30589, 32666, 34743, 36819, 38892, 40962, 43029, 45091,
    47147, 49199, 51244, 53284, 55317, 57345, 59367, 61383, 63395, 65402, 67406,
    69406, 71404, 73400, 75396, 77391, 79387, 81385, 83384, 85386, 87391, 89399,
    91411, 93427, 95447, 97472, 99500, 101534, 103571, 105613, 107659, 109709, 111763,
    113821, 115882, 117947, 120015, 122086, 124159, 126236, 128315, 130396, 132480, 134566,
    136654, 138745, 140837, 142931, 145028, 147126, 149226, 151327, 153431, 155536, 157642,
    159750, 161860, 163971, 166084, 168198, 170314, 172431, 174549, 176669, 178789, 180911,
    183034, 185158, 187283, 189409, 191536, 193663, 195792, 197921, 200051, 202181, 204312,
    206443, 208574, 210706, 212838,
)
# fmt: on
HIGH_MC = LOW_MC + STEP_MC * (len(EMF) - 1)

_RATIO = Ratio()  # keeps nothing from call to call: no product here comes near its bound

# Converters that assume one straight line from the cold junction on: 0.1 uV per mK, as a fraction.
LINE_41_276 = (10_319, 25_000)  # 41.276 uV/K, MAX31855
LINE_41 = (41, 100)  # 41 uV/K, MAX6675


def emf(t_mc: int) -> int:
    """Voltage in 0.1 uV against a junction at 0; NONE outside the table."""
    if not LOW_MC <= t_mc <= HIGH_MC:
        return NONE
    row = min((t_mc - LOW_MC) // STEP_MC, len(EMF) - 2)
    rise = EMF[row + 1] - EMF[row]
    return EMF[row] + _RATIO.nearest(rise, t_mc - LOW_MC - row * STEP_MC, STEP_MC)


def temperature(emf_tenth_uv: int) -> int:
    """mC of a voltage in 0.1 uV against a junction at 0; NONE outside the table."""
    last = len(EMF) - 1
    if not EMF[0] <= emf_tenth_uv <= EMF[last]:
        return NONE
    row = _row_of(emf_tenth_uv)
    rise = EMF[row + 1] - EMF[row]
    return LOW_MC + row * STEP_MC + _RATIO.nearest(STEP_MC, emf_tenth_uv - EMF[row], rise)


def _row_of(emf_tenth_uv: int) -> int:
    """Bisection: the row at or below this voltage, never the last."""
    low = 0
    high = len(EMF) - 1
    while high - low > 1:
        middle = (low + high) // 2
        if EMF[middle] <= emf_tenth_uv:
            low = middle
        else:
            high = middle
    return low


def undo_line(line_mc: int, cold_mc: int, line: tuple[int, int]) -> int:
    """True mC of what a straight-line converter says; NONE where either end leaves the table.

    Never for a converter that linearises by itself.
    """
    cold = emf(cold_mc)
    if cold == NONE or not LOW_MC <= line_mc <= HIGH_MC:
        return NONE
    return temperature(cold + _RATIO.nearest(line_mc - cold_mc, line[0], line[1]))
