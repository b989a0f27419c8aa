"""What the four converters put on the bus: bytes, as their data sheets lay them out.

The simulated chip's half of the talk: the firmware's drivers are the other, and neither borrows
from the other. Temperatures in C, statuses as `heatcore.inputs` numbers them.
"""

from math import floor

from heatcore.inputs import OK, OPEN, SHORT_TO_GROUND, SHORT_TO_SUPPLY

MAX31855_CAUSE = {OK: 0, OPEN: 1, SHORT_TO_GROUND: 2, SHORT_TO_SUPPLY: 4}
MAX31856_FAULT = {OK: 0x00, OPEN: 0x01, SHORT_TO_GROUND: 0x02, SHORT_TO_SUPPLY: 0x02}
MAX31865_FAULT = {OK: 0x00, OPEN: 0x80, SHORT_TO_GROUND: 0x40, SHORT_TO_SUPPLY: 0x04}

PT100_A = 3.9083e-3  # IEC 60751
PT100_B = -5.775e-7
PT100_OHM = 100.0
REFERENCE_OHM = 400.0


def max31855(bead_c: float, junction_c: float, status: int = OK) -> bytes:
    """Four bytes: bead in 0.25 K, junction in 0.0625 K, fault bits."""
    cause = MAX31855_CAUSE.get(status, 0)
    bead = _steps(bead_c, 0.25, 14)
    junction = _steps(junction_c, 0.0625, 12)
    word = bead << 18 | (cause != 0) << 16 | junction << 4 | cause
    return word.to_bytes(4, "big")


def max6675(bead_c: float, status: int = OK) -> bytes:
    """Two bytes: bead in 0.25 K from 0 to 1023.75 C, and the bit for an open input."""
    quarters = min(max(floor(bead_c / 0.25 + 0.5), 0), 0xFFF)
    return (quarters << 3 | (status == OPEN) << 2).to_bytes(2, "big")


def max31856(bead_c: float, junction_c: float, status: int = OK) -> bytes:
    """Registers 0x0A to 0x0F: junction (2 bytes), bead (3 bytes), fault status (1 byte)."""
    junction = (_steps(junction_c, 0.015625, 14) << 2).to_bytes(2, "big")
    bead = (_steps(bead_c, 0.0078125, 19) << 5).to_bytes(3, "big")
    return junction + bead + bytes([MAX31856_FAULT.get(status, 0)])


def max31865(bead_c: float, status: int = OK) -> bytes:
    """Registers 0x01, 0x02 and 0x07: a PT100 over 400 ohm, the faults."""
    ohm = PT100_OHM * (1.0 + PT100_A * bead_c + PT100_B * bead_c * bead_c)
    code = min(max(round(ohm / REFERENCE_OHM * 32768), 0), 0x7FFF)
    fault = MAX31865_FAULT.get(status, 0)
    return (code << 1 | (fault != 0)).to_bytes(2, "big") + bytes([fault])


def _steps(value_c: float, step_c: float, bits: int) -> int:
    """Two's complement in `bits` bits, as far as the scale reaches."""
    top = 1 << (bits - 1)
    steps = min(max(floor(value_c / step_c + 0.5), -top), top - 1)
    return steps & ((1 << bits) - 1)
