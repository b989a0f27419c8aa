"""What comes back from a record, whole, cut, garbled or no record at all."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import records_made
from heatcore import line
from heatcore.command import Command
from heatcore.inputs import NONE, OK, OPEN, Inputs
from heatwright.errors import BadInput
from heatwright.records import reader
from heatwright.records.writer import RecordWriter

READINGS_C = np.array([25.0, 25.25, 26.0, 27.5, 30.0])


@pytest.fixture(scope="module")
def made(tmp_path_factory) -> Path:
    path = tmp_path_factory.mktemp("run") / "record.txt"
    duty = np.array([0.0, 0.25, 0.5, 0.98, 1.0])
    records_made.write(path, READINGS_C, READINGS_C + 1, READINGS_C + 2, duty, placing="air")
    return path


def test_arrays_come_back_in_units_of_the_host(made: Path) -> None:
    record = reader.read(made)
    assert record.time_s.tolist() == [0.0, 0.25, 0.5, 0.75, 1.0]
    assert record.sensor_c.tolist() == READINGS_C.tolist()
    assert record.target_c.tolist() == (READINGS_C + 2).tolist()
    assert record.duty.tolist() == [0.0, 0.25, 0.5, 0.98, 1.0]
    assert np.isnan(record.second_c).all()
    assert record.header["placing"] == "air"
    assert record.damaged_lines == 0


def test_the_truth_is_kept_apart(made: Path) -> None:
    record = reader.read(made)
    assert record.truth is not None
    assert record.truth.board_c.tolist() == (READINGS_C + 1).tolist()
    assert record.truth.time_s.tolist() == record.time_s.tolist()


def test_a_folder_stands_for_its_record(made: Path) -> None:
    assert reader.read(made.parent).trace_sha256 == reader.read(str(made)).trace_sha256


def test_a_reading_that_is_not_ok_is_missing(tmp_path: Path) -> None:
    inputs = Inputs()
    with RecordWriter(tmp_path / "record.txt", {}) as record:
        for tick, (value, status) in enumerate([(25_000, OK), (25_000, OPEN), (NONE, OK)]):
            inputs.sensor_mc, inputs.sensor_status = value, status
            record.sample(tick, 250 * tick, inputs, Command())
        record.event(3, 750, 1, NONE, 0)
    back = reader.read(tmp_path)
    assert np.isnan(back.sensor_c).tolist() == [False, True, True]
    assert back.events == (reader.Event(0.75, 1, None, 0),)


def test_a_cut_at_any_byte_loses_at_most_the_last_line(made: Path, tmp_path: Path) -> None:
    data = made.read_bytes()
    cut_file = tmp_path / "record.txt"
    for cut in range(len(data)):
        cut_file.write_bytes(data[:cut])
        whole = [line.decode(piece) for piece in data[:cut].split(b"\n")[:-1]]
        samples = [values for values in whole if values[0] == "s"]
        if not samples:
            with pytest.raises(BadInput):
                reader.read(cut_file)
            continue
        record = reader.read(cut_file)
        assert record.raw["seq"].tolist() == [values[1] for values in samples]
        assert record.damaged_lines == (0 if data[:cut].endswith(b"\n") else 1)


@settings(deadline=None, max_examples=60)
@given(where=st.integers(0, 10**6), value=st.integers(0, 255))
def test_a_garbled_byte_costs_its_own_lines_only(made: Path, where: int, value: int) -> None:
    data = bytearray(made.read_bytes())
    where %= len(data)
    data[where] = value
    garbled = made.parent / "garbled.txt"
    garbled.write_bytes(data)
    record = reader.read(garbled)
    whole = reader.read(made)
    # a line feed that is lost joins two lines; one that appears makes two pieces of one
    assert record.damaged_lines <= 2
    assert len(record.time_s) >= len(whole.time_s) - 2
    kept = np.isin(whole.time_s, record.time_s)
    assert record.sensor_c.tolist() == whole.sensor_c[kept].tolist()


@settings(deadline=None, max_examples=60)
@given(st.binary(max_size=400))
def test_garbage_is_refused_in_words(tmp_path_factory, data: bytes) -> None:
    path = tmp_path_factory.mktemp("garbage") / "record.txt"
    path.write_bytes(data)
    with pytest.raises(BadInput, match="not a run's record"):
        reader.read(path)


SAMPLE = ["s", 1, 250, *[0] * 24]


@pytest.mark.parametrize(
    "values",
    [
        ["s", 1, 250],
        [*SAMPLE[:-1], 0.5],
        [*SAMPLE[:-1], True],
        [*SAMPLE[:-1], 1 << 70],
        [*SAMPLE, 0],
        ["s", 1, 0, *[0] * 24],
        ["x", 1, 2],
        [],
        [["s"]],
        ["h", 1],
        ["h", True, {}],
        ["h", 1, 7],
        ["h", 1, {"placing": ["on_board"]}],
    ],
)
def test_a_sound_line_with_nonsense_in_it_is_counted_as_damaged(tmp_path, values) -> None:
    head = [["h", 1, {"name": "n"}], ["s", 0, 0, *[0] * 24]]
    path = tmp_path / "record.txt"
    path.write_bytes(b"".join(line.encode(one) for one in [*head, values]))
    record = reader.read(path)
    assert record.damaged_lines == 1
    assert record.raw["now_ms"].tolist() == [0]


def test_another_version_is_refused_with_both_numbers(tmp_path: Path) -> None:
    path = tmp_path / "record.txt"
    path.write_bytes(line.encode(["h", 2, {}]) + line.encode(SAMPLE))
    with pytest.raises(BadInput, match="version 2") as refused:
        reader.read(path)
    assert "version 1" in str(refused.value)


@pytest.mark.parametrize(
    ("name", "what"),
    [("nowhere", "no such record"), ("empty", "holds no record.txt"), ("device", "no such record")],
)
def test_what_is_no_file_is_refused_in_words(tmp_path: Path, name: str, what: str) -> None:
    (tmp_path / "empty").mkdir()
    (tmp_path / "device").symlink_to("/dev/zero")
    with pytest.raises(BadInput, match=what) as refused:
        reader.read(tmp_path / name)
    assert "cure" in str(refused.value)


def test_a_header_alone_is_no_record(tmp_path: Path) -> None:
    RecordWriter(tmp_path / "record.txt", {"name": "nothing"}).close()
    with pytest.raises(BadInput, match="no sample"):
        reader.read(tmp_path)
