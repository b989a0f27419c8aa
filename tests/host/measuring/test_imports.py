"""Tables of other loggers: what is read, and what is refused with its place and its cure."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from heatwright.errors import BadInput
from heatwright.records import imports


def table(path: Path, text: str) -> Path:
    path.write_text(text, encoding="utf-8")
    return path


def test_reads_named_columns_in_any_order(tmp_path: Path) -> None:
    text = "Sensor_C,note,time_s,duty\n25.0,cold,0,0.5\n26.5,,1,0.5\n"
    found = imports.read_csv(table(tmp_path / "a.csv", text)).columns
    assert list(found["sensor_c"]) == [25.0, 26.5]
    assert list(found["time_s"]) == [0.0, 1.0]
    assert "note" not in found


def test_empty_cell_is_nan_and_a_byte_order_mark_no_letter(tmp_path: Path) -> None:
    text = "\ufefftime_s,duty,sensor_c\n0,0,25\n1,0,\n"
    found = imports.read_csv(table(tmp_path / "a.csv", text)).columns
    assert np.isnan(found["sensor_c"][1])


def test_percent_is_a_share_when_asked_for(tmp_path: Path) -> None:
    path = table(tmp_path / "a.csv", "time_s,duty,sensor_c\n0,100,25\n1,50,26\n")
    assert list(imports.read_csv(path, duty_percent=True).columns["duty"]) == [1.0, 0.5]


def test_knob_stands_for_duty(tmp_path: Path) -> None:
    path = table(tmp_path / "a.csv", "time_s,knob,sensor_c\n0,6,25\n1,3,26\n2,0,26\n")
    assert list(imports.read_csv(path).columns["duty"]) == [1.0, 0.5, 0.0]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("time_s,duty,sensor_c\n0,100,25\n1,50,26\n", ("0 to 1", "--duty-percent")),
        ("time_s,duty,sensor_c\n0,25,0.9\n1,80,0.9\n", ("swapped", "duty", "sensor_c")),
        ("time_s,sensor_c\n0,25\n1,26\n", ("duty",)),
        ("time_s,duty,sensor_c\n0,1,25\n1,1,2x\n", ("line 3", "2x", "sensor_c")),
        ("", ("nothing",)),
    ],
)
def test_refuses_with_place_and_cure(tmp_path: Path, text: str, words: tuple[str, ...]) -> None:
    with pytest.raises(BadInput) as refused:
        imports.read_csv(table(tmp_path / "log.csv", text))
    assert all(word in str(refused.value) for word in words), refused.value


def test_no_such_file(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match=r"none\.csv"):
        imports.read_csv(tmp_path / "none.csv")
