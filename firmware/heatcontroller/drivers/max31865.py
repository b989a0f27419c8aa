# MAX31865 with a PT100 and a 400 ohm reference resistor.

from heatcore.inputs import NONE, OK, OPEN, OUT_OF_RANGE, SHORT_TO_GROUND, SHORT_TO_SUPPLY

from . import platinum
from .bus import Chip
from .one_shot import OneShotSensor

CONVERSION_MS = 66  # data sheet: single conversion at most 55 ms (60 Hz filter), 66 ms (50 Hz)
SPI_PHASE = 1

_WRITE = 0x80
_LIMITS = 0x03  # first of the four limit registers

# Configuration register.
_BIAS = 0x80
_ONE_SHOT = 0x20
_THREE_WIRE = 0x10
_CLEAR_FAULT = 0x02
_FILTER_50_HZ = 0x01
_KEPT = _BIAS | _THREE_WIRE | _FILTER_50_HZ  # the bits that stay as they were written

# A PT100 at -200 and 850 degrees has 18.52 and 390.48 ohm (IEC 60751): a code outside is a short
# or a break, not a temperature.
CODE_MIN = 1517
CODE_MAX = 31988

# Fault status register.
_HIGH = 0x80
_LOW = 0x40
_LEADS = 0x38  # REFIN- too high, REFIN- too low, RTDIN- too low: a force lead is open
_VOLTAGE = 0x04  # a terminal is above the supply or below ground


def code(high: int, low: int) -> int:
    return (high << 7) | (low >> 1)  # the lowest bit says that there is a fault


def status(found: int, faults: int) -> int:
    if faults & (_HIGH | _LEADS) or found > CODE_MAX:
        return OPEN
    if faults & _LOW or found < CODE_MIN:
        return SHORT_TO_GROUND
    if faults & _VOLTAGE:
        return SHORT_TO_SUPPLY
    return OK if platinum.MIN_MC <= platinum.code_mc(found) <= platinum.MAX_MC else OUT_OF_RANGE


class Max31865(OneShotSensor):
    def __init__(self, chip: Chip, mains_hz: int, wires: int) -> None:
        super().__init__(CONVERSION_MS)
        self._chip = chip
        # The bias stays on: its settling would add ten time constants to each reading.
        self._config = (
            _BIAS | (_THREE_WIRE if wires == 3 else 0) | (_FILTER_50_HZ if mains_hz == 50 else 0)
        )
        self._sent = bytearray(9)  # address 0, then eight registers are clocked out
        self._got = bytearray(9)
        self._order = bytearray(2)
        high, low = CODE_MAX << 1, CODE_MIN << 1
        self._limits = bytes((_WRITE | _LIMITS, high >> 8, high & 0xFF, low >> 8, low & 0xFF))

    def _read_registers(self) -> None:
        self._chip.exchange(self._sent, self._got)

    def _is_set_up(self) -> bool:
        # The limits are read back too: a line stuck high looks like a configuration.
        return (
            self._got[1] & _KEPT == self._config
            and self._got[4] == self._limits[1]
            and self._got[6] == self._limits[3]
        )

    def _set_up(self) -> None:
        self._chip.write(self._limits)

    def _is_pending(self) -> bool:
        return self._got[1] & _ONE_SHOT != 0

    def _take(self, now_ms: int) -> None:
        found = code(self._got[2], self._got[3])
        verdict = status(found, self._got[8])
        if verdict == OK:
            self._accept(now_ms, platinum.code_mc(found), NONE)
        else:
            self._refuse(now_ms, verdict, NONE)

    def _request(self) -> None:
        # Two writes: the data sheet clears latched faults only while no conversion is asked for.
        self._configure(_CLEAR_FAULT)
        self._configure(_ONE_SHOT)

    def _configure(self, bits: int) -> None:
        self._order[0] = _WRITE
        self._order[1] = self._config | bits
        self._chip.write(self._order)
