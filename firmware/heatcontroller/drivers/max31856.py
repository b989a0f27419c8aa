# MAX31856 with type K: it linearises by itself, so its reading must not be corrected again.

from heatcore.inputs import OK, OPEN, OUT_OF_RANGE, SHORT_TO_SUPPLY

from .bus import Chip
from .one_shot import OneShotSensor

# Data sheet: a single conversion takes at most 185 ms with the 50 Hz filter, and its test for an
# open lead 15 ms more.
CONVERSION_MS = 200
SPI_PHASE = 1

_WRITE = 0x80

# CR0.
_ONE_SHOT = 0x40
_OPEN_TEST = 0x10  # on, for leads below 5 kohm
_FILTER_50_HZ = 0x01
_KEPT = _OPEN_TEST | _FILTER_50_HZ | 0x80  # 0x80: free-running, which we never ask for
# CR1: no averaging, thermocouple type K.
_TYPE_K = 0x03

# Fault status register.
_JUNCTION_RANGE = 0x80
_BEAD_RANGE = 0x40
_VOLTAGE = 0x02  # an input is below ground or above the supply
_OPEN = 0x01

# The range that the control core works in; beyond it lies no reflow.
MIN_MC = -20000
MAX_MC = 500000


def bead_mc(high: int, middle: int, low: int) -> int:
    steps = (high << 11) | (middle << 3) | (low >> 5)
    return (steps - ((steps & 0x40000) << 1)) * 125 // 16


def junction_mc(high: int, low: int) -> int:
    steps = (high << 6) | (low >> 2)
    return (steps - ((steps & 0x2000) << 1)) * 125 // 8


def status(faults: int, mc: int) -> int:
    if faults & _OPEN:
        return OPEN
    if faults & _VOLTAGE:
        return SHORT_TO_SUPPLY
    if faults & (_BEAD_RANGE | _JUNCTION_RANGE):
        return OUT_OF_RANGE
    return OK if MIN_MC <= mc <= MAX_MC else OUT_OF_RANGE


class Max31856(OneShotSensor):
    def __init__(self, chip: Chip, mains_hz: int) -> None:
        super().__init__(CONVERSION_MS)
        self._chip = chip
        self._config = _OPEN_TEST | (_FILTER_50_HZ if mains_hz == 50 else 0)
        self._ask_setup = bytes((0x00, 0, 0))  # CR0 and CR1 are clocked out
        self._got_setup = bytearray(3)
        self._ask_result = bytes((0x0A, 0, 0, 0, 0, 0, 0))  # junction, bead, faults
        self._result = bytearray(7)
        self._setup = bytes((_WRITE, self._config, _TYPE_K))
        self._order = bytes((_WRITE, self._config | _ONE_SHOT))

    def _read_registers(self) -> None:
        self._chip.exchange(self._ask_setup, self._got_setup)
        self._chip.exchange(self._ask_result, self._result)

    def _is_set_up(self) -> bool:
        return self._got_setup[1] & _KEPT == self._config and self._got_setup[2] == _TYPE_K

    def _set_up(self) -> None:
        self._chip.write(self._setup)

    def _is_pending(self) -> bool:
        return self._got_setup[1] & _ONE_SHOT != 0

    def _take(self, now_ms: int) -> None:
        found = self._result
        junction = junction_mc(found[1], found[2])
        mc = bead_mc(found[3], found[4], found[5])
        verdict = status(found[6], mc)
        if verdict == OK:
            self._accept(now_ms, mc, junction)
        else:
            self._refuse(now_ms, verdict, junction)

    def _request(self) -> None:
        self._chip.write(self._order)
