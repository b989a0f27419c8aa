"""From a bead to what the core is told; words on the bus as component data sheets have them."""

import numpy as np
import pytest

from heatcore.inputs import (
    COLD_JUNCTION,
    DEAD_BUS,
    NONE,
    OK,
    OPEN,
    OUT_OF_RANGE,
    SHORT_TO_GROUND,
    SHORT_TO_SUPPLY,
    Inputs,
)  # fmt: skip
from heatsim import words
from heatsim.sensor import CONVERTERS, Sensor


def reading(sensor: Sensor, bead_c: float, junction_c: float = 25.0, now_ms: int = 1000) -> Inputs:
    inputs = Inputs()
    sensor.serve(now_ms, bead_c, junction_c)
    sensor.fill(now_ms, inputs)
    return inputs


@pytest.mark.parametrize("kind", CONVERTERS)
@pytest.mark.parametrize("bead_c", [20.0, 100.0, 150.0, 183.0, 217.0, 250.0, 300.0])
def test_a_good_sensor_reads_within_its_steps(kind, bead_c):
    found = reading(Sensor(kind), bead_c)
    assert found.sensor_status == OK
    # one step, seen through the bend of type K, and the table's 0.02 C
    assert abs(found.sensor_mc / 1000 - bead_c) <= 0.52 * CONVERTERS[kind].step_k * 1.05 + 0.02


@pytest.mark.parametrize(
    ("kind", "bead_c", "error_k"),
    # Straight lines left as they are, at a junction of 25 C: computed with thermocouple-its90
    # (NIST Monograph 175) for 41.276 and 41.0 uV/K, the lines of the MAX31855's and MAX6675's data
    # sheets.
    [
        ("max31855", 217, -2.57), ("max31855", 250, -3.25), ("max31855", 300, -3.45),
        ("max6675", 217, -1.29), ("max6675", 250, -1.75), ("max6675", 300, -1.63),
    ],
)  # fmt: skip
def test_the_chip_alone_is_off_by_its_straight_line(kind, bead_c, error_k):
    chip_c, _junction_c = Sensor(kind).convert(bead_c, 25.0)
    assert chip_c - bead_c == pytest.approx(error_k, abs=0.14)


def test_a_cold_junction_error_shifts_the_reading_by_nearly_as_much():
    found = reading(Sensor(junction_error_k=2.0), 240.0)
    assert found.cold_junction_mc == 27_000
    assert found.sensor_mc / 1000 - 240.0 == pytest.approx(2.0, abs=0.3)


def test_noise_has_the_size_it_was_given_and_follows_the_seed():
    many = [Sensor("max31856", noise_k=0.5, seed=seed) for seed in range(400)]
    errors = [reading(sensor, 200.0).sensor_mc / 1000 - 200.0 for sensor in many]
    assert np.std(errors) == pytest.approx(0.5, rel=0.15)
    assert abs(np.mean(errors)) < 0.1
    again = reading(Sensor("max31856", noise_k=0.5, seed=7), 200.0).sensor_mc
    assert again == reading(Sensor("max31856", noise_k=0.5, seed=7), 200.0).sensor_mc


def test_a_slow_chip_converts_at_its_own_pace():
    sensor, inputs, seen = Sensor("max6675"), Inputs(), []
    for now_ms in range(0, 1000, 100):
        sensor.serve(now_ms, 100.0 + now_ms / 10, 25.0)
        sensor.fill(now_ms, inputs)
        seen.append((inputs.sensor_seq, inputs.sensor_age_ms))
    assert [seq for seq, _age in seen] == [1, 1, 1, 2, 2, 2, 3, 3, 3, 4]
    assert [age for _seq, age in seen] == [0, 100, 200, 0, 100, 200, 0, 100, 200, 0]


def test_a_chip_that_hides_its_junction_says_none():
    assert reading(Sensor("max6675"), 100.0).cold_junction_mc == NONE
    assert reading(Sensor("max31865"), 100.0).cold_junction_mc == NONE


def test_a_sensor_that_never_converted_knows_nothing():
    sensor, inputs = Sensor(), Inputs()
    sensor.fill(0, inputs)
    assert (inputs.sensor_mc, inputs.sensor_status, inputs.sensor_seq) == (NONE, DEAD_BUS, 0)
    assert inputs.sensor_age_ms > 100_000


@pytest.mark.parametrize("status", [OPEN, SHORT_TO_GROUND, SHORT_TO_SUPPLY])
def test_a_fault_takes_the_value_away_and_the_sequence_goes_on(status):
    sensor = Sensor()
    before = reading(sensor, 150.0, now_ms=0).sensor_seq
    sensor.status = status
    found = reading(sensor, 150.0, now_ms=250)
    assert (found.sensor_mc, found.sensor_status) == (NONE, status)
    assert found.sensor_seq == before + 1


def test_a_stale_sensor_keeps_its_value_and_ages():
    sensor = Sensor()
    reading(sensor, 150.0, now_ms=0)
    sensor.stale = True
    found = reading(sensor, 200.0, now_ms=5000)
    assert found.sensor_mc == pytest.approx(150_000, abs=300)
    assert (found.sensor_seq, found.sensor_age_ms) == (1, 5000)


def test_what_lies_outside_the_table_and_a_hot_terminal_are_refused():
    assert reading(Sensor("max31865"), 700.0).sensor_status == OUT_OF_RANGE
    assert reading(Sensor(), 200.0, junction_c=95.0).sensor_status == COLD_JUNCTION


def test_the_second_sensor_goes_to_its_own_fields():
    sensor, inputs = Sensor(), Inputs()
    sensor.serve(0, 120.0, 25.0)
    sensor.fill_second(0, inputs)
    assert inputs.second_mc == pytest.approx(120_000, abs=300)
    assert (inputs.second_status, inputs.second_seq, inputs.second_age_ms) == (OK, 1, 0)
    assert inputs.sensor_mc == NONE


# MAX31855 data sheet, tables of thermocouple and reference junction data formats.
MAX31855_WORDS = [
    (1600.0, 25.0, 0x64001900), (1000.0, 127.0, 0x3E807F00), (100.75, 100.5625, 0x064C6490),
    (25.0, 25.0, 0x01901900), (-0.25, -0.0625, 0xFFFCFFF0), (-250.0, -55.0, 0xF060C900),
]  # fmt: skip


@pytest.mark.parametrize(("bead_c", "junction_c", "word"), MAX31855_WORDS)
def test_max31855_words(bead_c, junction_c, word):
    assert int.from_bytes(words.max31855(bead_c, junction_c), "big") == word


def test_max31855_fault_bits():
    causes = [
        words.max31855(25.0, 25.0, s)[3] & 7 for s in (OPEN, SHORT_TO_GROUND, SHORT_TO_SUPPLY)
    ]
    assert causes == [1, 2, 4]
    assert words.max31855(25.0, 25.0, OPEN)[1] & 1 == 1


@pytest.mark.parametrize(
    # MAX6675 data sheet's layout, D14 to D3 in 0.25 C; words computed from it.
    ("bead_c", "word"),
    [(25, 0x0320), (183, 0x16E0), (217, 0x1B20), (250, 0x1F40), (1023.75, 0x7FF8)],
)
def test_max6675_words(bead_c, word):
    assert words.max6675(bead_c) == word.to_bytes(2, "big")
    assert words.max6675(bead_c, OPEN)[1] & 4 == 4


@pytest.mark.parametrize(
    # MAX31856: register layout from its data sheet, words computed from 0.0078125 C a step.
    ("bead_c", "junction_c", "registers"),
    [(1600.0, 25.0, "1900640000"), (25.0, 25.0, "1900019000"), (-0.0625, 25.0, "1900ffff00")],
)
def test_max31856_registers(bead_c, junction_c, registers):
    assert words.max31856(bead_c, junction_c).hex() == registers + "00"


@pytest.mark.parametrize(
    # MAX31865 data sheet, table of RTD resistances and data words with a 400 ohm reference; the
    # lowest bit of a word is the fault bit.
    ("bead_c", "code"),
    [(0, 0x4000), (50, 0x4C6A), (100, 0x58A4), (150, 0x64B0), (200, 0x708C), (250, 0x7C3A)],
)
def test_max31865_codes(bead_c, code):
    # The table rounds resistances to 0.01 ohm first: one code of difference either way.
    found = int.from_bytes(words.max31865(bead_c)[:2], "big") >> 1
    assert abs(found - (code >> 1)) <= 1
