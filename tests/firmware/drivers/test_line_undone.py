"""Straight-line converters undone, against ITS-90: NIST Monograph 175, by thermocouple-its90."""

import bench
import machine
import pytest
from chips import Word
from thermocouple_its90 import TypeK

from heatcontroller.drivers import max6675, max31855
from heatcontroller.drivers.bus import Bus, Chip
from heatcore.inputs import NONE, OK, OUT_OF_RANGE

CS = 17
# Data sheets: the straight line each converter assumes, mV/K.
LINE_MAX31855 = 0.041276
LINE_MAX6675 = 0.041


def read(kind, word, phase=0):
    bench.clear()
    bench.spi_devices[CS] = Word(word)
    chip = Chip(Bus(machine.SPI(0)), machine.Pin(CS, machine.Pin.OUT, value=1), phase)
    sensor = kind(chip)
    sensor.poll(0)
    return sensor


def line_c(bead_c, junction_c, line):
    """What the converter says of a bead: junction plus the measured voltage over its line."""
    return junction_c + (TypeK.emf(bead_c) - TypeK.emf(junction_c)) / line


def max31855_word(bead_c, junction_c):
    quarters = round(line_c(bead_c, junction_c, LINE_MAX31855) * 4)
    sixteenths = round(junction_c * 16)
    return ((quarters & 0x3FFF) << 18 | (sixteenths & 0xFFF) << 4).to_bytes(4, "big")


def max6675_word(bead_c, junction_c):
    return (round(line_c(bead_c, junction_c, LINE_MAX6675) * 4) << 3).to_bytes(2, "big")


@pytest.mark.parametrize("junction_c", [-5.0, 10.0, 25.0, 48.0])
@pytest.mark.parametrize("bead_c", [-15, 5, 40, 100, 138, 183, 217, 250, 300, 400, 490])
def test_max31855_reads_true(bead_c, junction_c):
    sensor = read(max31855.Max31855, max31855_word(bead_c, junction_c))
    assert sensor.status == OK
    # Half a step of 0.25 K, the table's 0.02 K, and the junction's half a step.
    assert abs(sensor.mc - bead_c * 1000) <= 125 + 20 + 32
    assert abs(sensor.junction_mc - junction_c * 1000) <= 1


@pytest.mark.parametrize("bead_c", [30, 100, 138, 183, 217, 250, 300, 400])
def test_max6675_reads_true_at_the_assumed_junction(bead_c):
    sensor = read(max6675.Max6675, max6675_word(bead_c, 25.0))
    assert sensor.status == OK
    assert abs(sensor.mc - bead_c * 1000) <= 145
    assert sensor.junction_mc == NONE


@pytest.mark.parametrize("junction_c", [10.0, 45.0])
def test_max6675_bears_a_junction_it_does_not_know(junction_c):
    sensor = read(max6675.Max6675, max6675_word(217, junction_c))
    assert abs(sensor.mc - 217000) <= 145 + 200


# Uncorrected errors at a junction of 25 degrees, recomputed from ITS-90.
@pytest.mark.parametrize(
    ("line", "bead_c", "error_c"),
    [
        (LINE_MAX31855, 217, -2.57),
        (LINE_MAX31855, 250, -3.25),
        (LINE_MAX31855, 300, -3.45),
        (LINE_MAX6675, 217, -1.29),
        (LINE_MAX6675, 250, -1.75),
        (LINE_MAX6675, 300, -1.63),
    ],
)
def test_what_would_be_wrong_without(line, bead_c, error_c):
    assert line_c(bead_c, 25.0, line) - bead_c == pytest.approx(error_c, abs=0.006)


def test_a_bead_beyond_the_table_is_out_of_range():
    assert read(max31855.Max31855, b"\x64\x00\x19\x00").status == OUT_OF_RANGE
    assert read(max6675.Max6675, b"\x7f\xf8").status == OUT_OF_RANGE
    assert read(max31855.Max31855, b"\xf0\x60\xc9\x00").mc == NONE
