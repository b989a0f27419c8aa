# MAX6675: bead to 0.25 K in two bytes, 0 to 1023.75 degrees. It compensates its cold junction but
# does not report it.

from heatcore.inputs import DEAD_BUS, NONE, OK, OPEN
from heatcore.thermocouple import LINE_41

from .bus import Chip
from .linear import LineSensor

CONVERSION_MS = 220  # data sheet: 170 ms typical, 220 ms at most; asking sooner starts it anew
SPI_PHASE = 0


def bead_mc(word) -> int:
    return (((word[0] & 0x7F) << 5) | (word[1] >> 3)) * 250


def status(word) -> int:
    # D15 and D1 read as zero. All zero would be exactly 0 degrees: a chip without power.
    if word[0] & 0x80 or word[1] & 2 or not (word[0] | word[1]):
        return DEAD_BUS
    return OPEN if word[1] & 4 else OK


def junction_mc(_word) -> int:
    return NONE


class Max6675(LineSensor):
    def __init__(self, chip: Chip) -> None:
        decode = (status, bead_mc, junction_mc, bead_mc)
        super().__init__(chip, CONVERSION_MS, LINE_41, 2, decode)
