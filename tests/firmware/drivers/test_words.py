"""The converters' words, decoded. Tables and bit layouts: the components' data sheets."""

from heatcontroller.drivers import max6675, max31855, max31856, max31865
from heatcore.inputs import (
    DEAD_BUS,
    OK,
    OPEN,
    OUT_OF_RANGE,
    SHORT_TO_GROUND,
    SHORT_TO_SUPPLY,
)

# MAX31855 data sheet, tables 4 and 5: word, bead mC, junction mC (half a milli-degree falls).
MAX31855_WORDS = (
    (b"\x64\x00\x19\x00", 1600000, 25000),
    (b"\x3e\x80\x7f\x00", 1000000, 127000),
    (b"\x06\x4c\x64\x90", 100750, 100562),
    (b"\x01\x90\x19\x00", 25000, 25000),
    (b"\xff\xfc\xff\xf0", -250, -63),
    (b"\xf0\x60\xc9\x00", -250000, -55000),
)
# MAX6675 data sheet, table 1 (bits 14..3, 0.25 degrees); words recomputed from it.
MAX6675_WORDS = (
    (b"\x03\x20", 25000),
    (b"\x16\xe0", 183000),
    (b"\x1b\x20", 217000),
    (b"\x1f\x40", 250000),
    (b"\x7f\xf8", 1023750),
)
# MAX31856 data sheet, register list; words recomputed (19 bits of 2^-7 degrees).
MAX31856_WORDS = (
    ((0x64, 0x00, 0x00), 1600000),
    ((0x01, 0x90, 0x00), 25000),
    ((0xFF, 0xFF, 0x00), -63),
)


def test_max31855_words_of_the_data_sheet():
    for word, bead, junction in MAX31855_WORDS:
        assert max31855.bead_mc(word) == bead
        assert max31855.junction_mc(word) == junction
        assert max31855.status(word) == OK


def test_max31855_each_fault_and_each_combination():
    expected = (OK, OPEN, SHORT_TO_GROUND, OPEN, SHORT_TO_SUPPLY, OPEN, SHORT_TO_GROUND, OPEN)
    for causes in range(8):
        word = bytes((0x01, 0x90 | (causes != 0), 0x19, causes))
        assert max31855.status(word) == expected[causes]


def test_max31855_words_that_no_chip_sends():
    # All ones is impossible (D17 and D3 read as zero), all zero suspect.
    for word in (
        b"\xff\xff\xff\xff",
        b"\x00\x00\x00\x00",
        b"\x01\x91\x19\x00",  # a fault without a cause
        b"\x01\x90\x19\x01",  # a cause without a fault
        b"\x01\x92\x19\x00",  # D17
        b"\x01\x90\x19\x08",  # D3
    ):
        assert max31855.status(word) == DEAD_BUS


def test_max31855_folded_word_sees_the_last_bit_of_both():
    words = (b"\x0d\x90\x19\x00", b"\x0d\x94\x19\x00", b"\x0d\x90\x19\x10", b"\xff" * 4)
    seen = {max31855.folded(word) for word in words}
    assert len(seen) == 4
    assert 0 <= min(seen) <= max(seen) < 1 << 30


def test_max6675_words():
    for word, bead in MAX6675_WORDS:
        assert max6675.bead_mc(word) == bead
        assert max6675.status(word) == OK


def test_max6675_faults():
    assert max6675.status(b"\x1b\x24") == OPEN
    for word in (b"\xff\xff", b"\x00\x00", b"\x9b\x20", b"\x1b\x22"):
        assert max6675.status(word) == DEAD_BUS


def test_max31856_words():
    for word, bead in MAX31856_WORDS:
        assert max31856.bead_mc(*word) == bead
    assert max31856.junction_mc(0x19, 0x00) == 25000
    assert max31856.junction_mc(0xE7, 0x00) == -25000


def test_max31856_faults():
    assert max31856.status(0x00, 217000) == OK
    assert max31856.status(0x01, 217000) == OPEN
    assert max31856.status(0x03, 217000) == OPEN
    assert max31856.status(0x02, 217000) == SHORT_TO_SUPPLY
    assert max31856.status(0x40, 217000) == OUT_OF_RANGE
    assert max31856.status(0x80, 217000) == OUT_OF_RANGE
    assert max31856.status(0x00, 600000) == OUT_OF_RANGE
    assert max31856.status(0x00, -20001) == OUT_OF_RANGE


def test_max31865_code_of_the_data_sheet():
    assert max31865.code(0x40, 0x00) == 8192
    assert max31865.code(0x7C, 0x3A) == 15901
    assert max31865.code(0x7C, 0x3B) == 15901


def test_max31865_faults():
    for faults in (0x80, 0x20, 0x10, 0x08, 0x88):
        assert max31865.status(15901, faults) == OPEN
    assert max31865.status(15901, 0x40) == SHORT_TO_GROUND
    assert max31865.status(15901, 0x04) == SHORT_TO_SUPPLY
    assert max31865.status(32767, 0x00) == OPEN
    assert max31865.status(0, 0x00) == SHORT_TO_GROUND
    assert max31865.status(15901, 0x00) == OK
    assert max31865.status(25000, 0x00) == OUT_OF_RANGE
    assert max31865.status(7000, 0x00) == OUT_OF_RANGE
