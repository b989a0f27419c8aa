# MAX31855: bead to 0.25 K and cold junction to 0.0625 K, in four bytes. The data sheet numbers
# the bits D31 (first byte, top) to D0 (last byte, bottom).

from heatcore.inputs import DEAD_BUS, OK, OPEN, SHORT_TO_GROUND, SHORT_TO_SUPPLY
from heatcore.thermocouple import LINE_41_276

from .bus import Chip
from .linear import LineSensor

CONVERSION_MS = 100  # data sheet: 70 ms typical, 100 ms at most
SPI_PHASE = 0


def bead_mc(word) -> int:
    quarters = (word[0] << 6) | (word[1] >> 2)
    return (quarters - ((quarters & 0x2000) << 1)) * 250


def junction_mc(word) -> int:
    sixteenths = (word[2] << 4) | (word[3] >> 4)
    return (sixteenths - ((sixteenths & 0x800) << 1)) * 125 // 2


def status(word) -> int:
    fault = word[1] & 1
    causes = word[3] & 7
    # D17 and D3 read as zero, and D16 is the OR of the three causes: a word that breaks this never
    # came from the chip. All zero would be exactly 0 and 0 degrees: a chip without power.
    if word[1] & 2 or word[3] & 8 or fault != (causes != 0) or _is_zero(word):
        return DEAD_BUS
    if causes & 1:
        return OPEN
    if causes & 2:
        return SHORT_TO_GROUND
    return SHORT_TO_SUPPLY if causes else OK


def _is_zero(word) -> bool:
    return not (word[0] | word[1] | word[2] | word[3])


def folded(word) -> int:
    # Bead and junction.
    return ((word[0] & 0x3F) << 22) | (word[1] << 14) | (word[2] << 6) | (word[3] >> 4)


class Max31855(LineSensor):
    def __init__(self, chip: Chip) -> None:
        decode = (status, bead_mc, junction_mc, folded)
        super().__init__(chip, CONVERSION_MS, LINE_41_276, 4, decode)
