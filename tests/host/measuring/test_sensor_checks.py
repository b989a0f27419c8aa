"""Fixed points, wrong types, reversed leads, a warming cold junction, a bead on earthed metal."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import thermocouple_its90 as its90

import records_made
from heatwright.__main__ import run as run_main
from heatwright.errors import BadInput
from heatwright.measuring import sensor_checks
from heatwright.measuring.soundness import Raw, checked
from heatwright.records.reader import read


@pytest.mark.parametrize(("altitude_m", "hpa"), [(0, 1013.25), (1000, 898.7), (3000, 701.1)])
def test_pressure_of_the_standard_atmosphere(altitude_m: float, hpa: float) -> None:
    """ISO 2533 standard atmosphere (from memory): 898.75 hPa at 1 km, 701.09 hPa at 3 km."""
    assert sensor_checks.pressure_hpa(altitude_m) == pytest.approx(hpa, abs=0.3)


@pytest.mark.parametrize(("hpa", "boils_c"), [(1013.25, 100.0), (845.6, 95.0), (701.1, 90.0)])
def test_boiling_by_pressure(hpa: float, boils_c: float) -> None:
    """Saturation of water (steam tables, from memory): 845.3 hPa at 95 C, 701.2 at 90 C."""
    assert sensor_checks.boiling_c(hpa) == pytest.approx(boils_c, abs=0.15)


def test_water_boils_colder_in_the_mountains() -> None:
    high = sensor_checks.pressure_hpa(2500)
    assert "good" in sensor_checks.check_point("boiling", 92.0, high)[0]
    assert "off by -8.0" in sensor_checks.check_point("boiling", 92.0)[0]


@pytest.mark.parametrize("other", ["J", "T", "N", "E"])
def test_another_types_reading_by_its90(other: str) -> None:
    """Oracle: PyPI `thermocouple-its90` 1.0.2."""
    bead = its90.get(other)
    volts = bead.emf(100.0) - bead.emf(25.0) + its90.TypeK.emf(25.0)
    assert sensor_checks.mistaken_c(other) == pytest.approx(its90.TypeK.temperature(volts), abs=0.2)


@pytest.mark.parametrize("other", ["J", "N", "E"])
def test_wrong_type_is_named(other: str) -> None:
    said = sensor_checks.check_point("boiling", sensor_checks.mistaken_c(other))
    assert any(f"type {other} thermocouple" in sentence for sentence in said)


def test_reversed_leads_are_named() -> None:
    assert "leads are reversed" in sensor_checks.check_point("boiling", -52.0)[1]


def test_offset_and_slope_are_told_apart() -> None:
    assert "same everywhere" in sensor_checks.check_both(6.0, 106.5)[0]
    assert "in proportion" in sensor_checks.check_both(0.5, 121.0)[0]
    assert sensor_checks.check_both(0.5, 99.0) == []


@pytest.mark.parametrize(
    ("ice", "boiling", "said"),
    [
        (32.0, 212.0, "Fahrenheit"),
        (33.5, 209.0, "Fahrenheit"),
        (40.0, 150.0, "Off at both"),
        (32.0, 132.0, "same everywhere"),
    ],
)
def test_both_points_say_one_thing(ice: float, boiling: float, said: str) -> None:
    (found,) = sensor_checks.check_both(ice, boiling)
    assert said in found


def test_reversed_leads_are_told_once() -> None:
    assert sensor_checks.check_both(0.0, -52.0) == []


def test_two_sensors() -> None:
    assert "agree" in sensor_checks.check_pair(24.0, 26.0)
    assert "differ by +9.0 K" in sensor_checks.check_pair(20.0, 29.0)


def test_sensors_from_the_command_line(capsys: pytest.CaptureFixture[str]) -> None:
    words = ["--ice", "0.8", "--boiling", "98.0", "--pressure", "950", "--pair", "24", "31"]
    assert run_main(["measure", *words]) == 0
    said = capsys.readouterr().out.splitlines()
    assert len(said) == 3
    assert "true 98.2: good" in said[1]
    assert "differ by +7.0 K" in said[2]
    assert run_main(["measure", "--ice", "nan"]) == 2


def test_a_sound_record_shows_nothing(tmp_path: Path) -> None:
    _, sensor_c = records_made.corners(records_made.GOOD)
    duty = np.where(np.arange(len(sensor_c)) < 1000, 0.6, 0.0)
    record = read(records_made.write(tmp_path / "record.txt", sensor_c, duty=duty))
    assert sensor_checks.check_record(record) == []


def test_a_bead_on_earthed_metal_and_a_warm_converter(tmp_path: Path) -> None:
    _, sensor_c = records_made.corners(records_made.GOOD)
    heated = np.arange(len(sensor_c)) < 1000
    hum = np.where(heated, 3.0 * (-1.0) ** np.arange(len(sensor_c)), 0.0)
    path = records_made.write(tmp_path / "record.txt", sensor_c + hum, duty=0.6 * heated)
    record = read(path)
    warming = np.linspace(25_000, 45_000, len(sensor_c)).astype(int)
    record = replace(record, raw=record.raw | {"cold_junction_mc": warming})
    junction, bead = sensor_checks.check_record(record)
    assert "rose by 20 K" in junction
    assert "Insulate the bead" in bead


def test_a_record_that_falls_while_heated_is_refused() -> None:
    time_s = np.arange(200.0)
    fallen = {"sensor": 25.0 - 0.3 * time_s}
    with pytest.raises(BadInput, match="leads are reversed"):
        checked(Raw("log.csv", time_s, np.ones(200), np.zeros(200), fallen, None))
