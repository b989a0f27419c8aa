"""CSV of other programs: understood where it can be, refused in words where it can't."""

from __future__ import annotations

import csv
import io
import os
import resource
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from heatwright.errors import BadInput
from heatwright.records import csv_preview, export, imports, reader
from heatwright.records.csv_columns import Asked
from heatwright.records.csv_import import Table, read_csv
from heatwright.records.import_run import gaps, import_run

PLAIN = "time_s,duty,sensor_c,board_c,door\n0,0.5,25,25,0\n1,0.6,26,25.5,0\n2.5,1,30,,1\n"


def table(tmp_path: Path, text: str | bytes, asked: Asked | None = None) -> Table:
    path = tmp_path / "log.csv"
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return read_csv(path, asked or Asked({}))


def refused(tmp_path: Path, text: str | bytes, asked: Asked | None = None) -> str:
    with pytest.raises(BadInput) as caught:
        table(tmp_path, text, asked)
    return str(caught.value)


def test_our_own_columns_need_no_words(tmp_path: Path) -> None:
    found = table(tmp_path, PLAIN)
    assert found.time_s.tolist() == [0, 1, 2.5]
    assert found.duty.tolist() == [0.5, 0.6, 1]
    assert found.sensor_c.tolist() == [25, 26, 30]
    assert np.array_equal(found.board_c, [25, 25.5, np.nan], equal_nan=True)
    assert found.door.tolist() == [0, 0, 1]
    assert not found.has("target")


SEVENTY_SEVEN_F = "time,temp_f\n0,77\n1,86\n"


@pytest.mark.parametrize(
    ("text", "asked", "sensor_c"),
    [
        (SEVENTY_SEVEN_F, None, [25, 30]),
        ("Time (s);Temp °F\n0;77,0\n1;86,0\n", None, [25, 30]),
        ("t [s]\tOven / K\n0\t298.15\n1\t303.15\n", None, [25, 30]),
        ("time,probe\n0,77\n1,86\n", Asked({}, "F"), [25, 30]),
        ("a,b\n0,25\n1,30\n", Asked({"time": "a", "sensor": "B"}), [25, 30]),
        ("0,x,25\n1,x,30\n", Asked({"time": "1", "sensor": "3"}), [25, 30]),
        ("time,temp\ns,°F\n0,77\n1,86\n", None, [25, 30]),
        ("Logger 7\nserial;0012\n\ntime;temp\n0;25\n1;30\n", None, [25, 30]),
        ("time,temp\n0,25 °C\n1,30 °C\n", None, [25, 30]),
        ("time,temp,room temp\n0,25,19\n1,30,19\n", None, [25, 30]),
    ],
)
def test_units_separators_and_headers(tmp_path, text, asked, sensor_c) -> None:
    assert table(tmp_path, text, asked).sensor_c.tolist() == pytest.approx(sensor_c)


def test_encodings(tmp_path: Path) -> None:
    text = "time;Temp (°F)\n0;77\n1;86\n"
    for encoding in ("utf-8", "utf-8-sig", "latin-1", "utf-16"):
        assert table(tmp_path, text.encode(encoding)).sensor_c.tolist() == [25, 30]


@pytest.mark.parametrize(
    ("header", "times", "time_s"),
    [
        ("time", ["0:59:59", "1:00:00", "1:00:01.5"], [0, 1, 2.5]),
        ("time", ["59:59", "60:00", "60:01.5"], [0, 1, 2.5]),
        ("time", ["23:59:59", "00:00:00", "00:00:01.5"], [0, 1, 2.5]),
        ("t_ms", ["500", "1500", "3000"], [0, 1, 2.5]),
        ("time [min]", ["0", "0.5", "1"], [0, 30, 60]),
        ("timestamp", ["1772627415", "1772627416", "1772627417.5"], [0, 1, 2.5]),
        ("timestamp", ["1772627415000", "1772627416000", "1772627417500"], [0, 1, 2.5]),
        (
            "when time",
            ["2026-03-04T23:59:59Z", "2026-03-05T00:00:00Z", "2026-03-05T01:00:01.5+01:00"],
            [0, 1, 2.5],
        ),
        ("date time", ["2026/03/04 12:00:00", "2026/03/04 12:00:01", "2026/03/04 12:01"], None),
        ("time", ["04.03.2026 12:00:00", "04.03.2026 12:00:01", "04.03.2026 12:00:02"], [0, 1, 2]),
        ("time", ["3/4/2026 1:00:00 PM", "3/4/2026 1:00:01 PM", "3/4/2026 1:01:01 PM"], [0, 1, 61]),
    ],
)
def test_forms_of_time(tmp_path, header, times, time_s) -> None:
    rows = "".join(f"{time},{25 + row}\n" for row, time in enumerate(times))
    found = table(tmp_path, f"{header},temp\n{rows}")
    assert found.time_s.tolist() == pytest.approx(time_s or [0, 1, 60])


def test_a_date_beside_a_clock_time_is_joined(tmp_path: Path) -> None:
    text = "Date,Time,Temp\n2026-03-04,23:59:59,25\n2026-03-05,00:00:01,26\n"
    found = table(tmp_path, text)
    assert found.time_s.tolist() == [0, 2]
    assert found.started == "2026-03-04T23:59:59+00:00"


NONSENSE = [
    ("", "nothing"),
    ("time,temp\n", "too few rows"),
    ("time,temp\n0,25\n", "too few rows"),
    ("time,temp\n0,25\n1,26\n1,27\n", "line 4"),
    ("time,temp\n0,25\n2,26\n1,27\n", "backwards"),
    ("time,temp\n0,25\n,26\n1,27\n", "without a time"),
    ("time,temp\n0,25\n1,warm\n", "line 3: 'warm'"),
    ("time,temp\n0,25\n1,1e999\n", "1e999"),
    ("time,temp,duty\n0,25,0\n1,26,80\n", "--duty-unit percent"),
    ("time,temp,duty\n0,25,0\n1,26,-0.2\n", "below 0"),
    ("time,temp,duty\n0,0.1,25\n1,0.2,26\n", "swapped"),
    ("time,temp\n" + "".join(f"{25 + 9 * (t % 5)},{t}\n" for t in range(20)), "swapped"),
    ("time,temp\n0,298\n1,500\n", "--unit K"),
    ("time,temp\n0,77\n1,464\n", "--unit F"),
    ("time,temp_c\n0,77\n1,4640\n", "-60 to 600"),
    ("time,temp\n0,25\n90000,26\n", "--time-unit"),
    ("time,tc1,probe\n0,25,26\n1,25,26\n", "--sensor"),
    ("alpha,beta\n0,25\n1,25\n", "--time"),
    ("0,25\n1,25\n", "2 columns with no header"),
    ("time,temp\n0,\n1,\n", "no temperature in it"),
    ("time,temp,door\n0,25,ajar\n1,25,0\n", "shut or open"),
    (b"time,temp\n\x00\x00\n", "not text"),
    ('time,temp\n0,"' + "x" * 200_000, "field larger"),
]


@pytest.mark.parametrize(("text", "said"), NONSENSE)
def test_nonsense_is_refused_with_what_would_be_right(tmp_path, text, said) -> None:
    words = refused(tmp_path, text)
    assert said in words
    assert "log.csv" in words
    assert "cure" in words


def test_all_faults_come_at_once(tmp_path: Path) -> None:
    words = refused(tmp_path, "time,temp,duty\n0,25,0\n0,26,50\n1,30,-1\n")
    for said in ("the same time", "above 1", "below 0"):
        assert said in words


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        (Asked({"sensor": "nowhere"}), "no such column"),
        (Asked({"sensor": "9"}), "no such column"),
        (Asked({"sensor": "²"}), "no such column"),
        (Asked({}, "K"), "two units"),
    ],
)
def test_what_the_person_says_is_checked_too(tmp_path, asked, said) -> None:
    assert said in refused(tmp_path, SEVENTY_SEVEN_F, asked)


@pytest.mark.parametrize("place", ["nowhere.csv", ".", "a\0b"])
def test_what_is_no_file_is_refused(tmp_path: Path, place: str) -> None:
    with pytest.raises(BadInput):
        read_csv(tmp_path / place, Asked({}))


CELL = st.one_of(
    st.sampled_from(["", "0", "25", "0,5", "1.5", "-1", "nan", "inf", "1e400", "12:30", "1:2:3"]),
    st.sampled_from(["2026-03-04T12:30:15", "04.03.2026 12:00:00", "open", '"', "²", "1_0", "٣"]),
    st.text(max_size=6),
    st.floats().map(str),
)
HEADER = st.sampled_from(["time", "time_s", "date", "temp", "temp_f", "board K", "duty %", "door"])


@settings(deadline=None, max_examples=300)
@given(
    header=st.lists(st.one_of(HEADER, st.text(max_size=8)), min_size=1, max_size=6),
    rows=st.lists(st.lists(CELL, max_size=7), max_size=8),
    separator=st.sampled_from(",;\t|"),
)
def test_any_table_is_understood_or_refused(tmp_path_factory, header, rows, separator) -> None:
    text = io.StringIO()
    csv.writer(text, delimiter=separator).writerows([header, *rows])
    check_any(tmp_path_factory.mktemp("fuzz"), text.getvalue().encode("utf-8", "surrogatepass"))


@settings(deadline=None, max_examples=200)
@given(data=st.binary(max_size=300))
def test_any_bytes_are_understood_or_refused(tmp_path_factory, data) -> None:
    check_any(tmp_path_factory.mktemp("fuzz"), b"time,temp\n" + data)
    check_any(tmp_path_factory.mktemp("fuzz"), data)


def check_any(tmp_path: Path, data: bytes) -> None:
    """Never another error; whatever is understood becomes a run that can be read back."""
    try:
        found = table(tmp_path, data)
    except BadInput:
        return
    assert (np.diff(found.time_s) > 0).all()
    assert "\n".join(csv_preview.preview(found))
    record = reader.read(import_run(found, tmp_path / "runs", "fuzz", "air", {}))
    assert record.damaged_lines == 0


def test_a_run_keeps_its_origin_and_the_file(tmp_path: Path) -> None:
    found = table(tmp_path, PLAIN)
    place = import_run(found, tmp_path / "runs", "Bake 7", "air", {"paste.toml": b"x = 1\n"})
    record = reader.read(place)
    assert place.name.endswith("-bake-7")
    assert (place / "original.csv").read_text() == PLAIN
    assert (place / "paste.toml").read_bytes() == b"x = 1\n"
    assert record.header["on"] == "import:log.csv"
    assert len(str(record.header["imported_sha256"])) == 64
    assert (record.header["placing"], record.header["second_placing"]) == ("air", "on_board")
    assert record.time_s.tolist() == found.time_s.tolist()
    assert np.array_equal(record.second_c, found.board_c, equal_nan=True)
    assert record.duty.tolist() == found.duty.tolist()


def test_what_the_file_does_not_tell_is_missing_and_not_nought(tmp_path: Path) -> None:
    found = table(tmp_path, "time,board_c\n0,25\n1,26\n")
    record = reader.read(import_run(found, tmp_path / "runs", "bake", "air", {}))
    assert np.isnan(record.duty).all()
    assert np.isnan(record.target_c).all()
    # the one bead sits on the board, whatever was said of the other
    assert record.header["placing"] == "on_board"
    assert record.sensor_c.tolist() == [25, 26]


def test_a_knob_stands_for_duty(tmp_path: Path) -> None:
    found = table(tmp_path, "time,knob,temp\n0,0,25\n1,3,26\n2,6,27\n")
    assert found.duty.tolist() == [0, 0.5, 1]
    assert "knob" in "\n".join(csv_preview.preview(found))
    both = table(tmp_path, "time,knob,duty,temp\n0,0,1,25\n1,3,0,26\n")
    assert both.duty.tolist() == [1, 0]


def test_learning_gets_the_times_as_they_are_and_needs_a_duty(tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    path.write_text("time_s;duty;sensor_c\n;10;25\n5;50;25,5\n4;50;26\n")
    found = imports.read_csv(path, duty_percent=True)
    assert np.array_equal(found.columns["time_s"], [np.nan, 0, -1], equal_nan=True)
    assert found.columns["duty"].tolist() == [0.1, 0.5, 0.5]
    assert "board_c" not in found.columns
    with pytest.raises(BadInput, match="above 1"):
        imports.read_csv(path)
    path.write_text("time_s,board_c\n0,25\n1,26\n")
    with pytest.raises(BadInput) as caught:
        imports.read_csv(path)
    assert [fault.expected for fault in caught.value.faults] == ["sensor_c", "duty"]


def test_gaps_are_told(tmp_path: Path) -> None:
    found = table(tmp_path, "time,temp\n0,25\n1,26\n15,30\n16,31\n")
    assert gaps(found) == [(1, 14)]
    assert "a gap of 14 s from 1 s on" in "\n".join(csv_preview.preview(found))


@settings(deadline=None, max_examples=40)
@given(
    steps=st.lists(st.integers(1, 20_000), min_size=1, max_size=20),
    sensor=st.lists(st.integers(0, 250_000), min_size=21, max_size=21),
    duty=st.lists(st.integers(0, 9_800), min_size=21, max_size=21),
)
def test_what_is_exported_comes_back_the_same(tmp_path_factory, steps, sensor, duty) -> None:
    folder = tmp_path_factory.mktemp("round")
    times = np.concatenate([[0], np.cumsum(steps)]) / 1000
    rows = "".join(
        f"{time},{duty[row] / 10_000},{sensor[row] / 1000}\n" for row, time in enumerate(times)
    )
    first = table(folder, f"time_s,duty,sensor_c\n{rows}", Asked({}, None))
    record = reader.read(import_run(first, folder / "runs", "first", "air", {}))
    second = table(folder, export.as_csv(record))
    assert second.time_s.tolist() == pytest.approx(first.time_s.tolist(), abs=5e-4)
    assert second.sensor_c.tolist() == first.sensor_c.tolist()
    assert second.duty.tolist() == first.duty.tolist()


SMALL_DISK = """
import resource, sys
from pathlib import Path
from heatwright.records.csv_import import read_csv
from heatwright.records.import_run import import_run
from heatwright.errors import BadInput
found = read_csv(Path(sys.argv[1]))
resource.setrlimit(resource.RLIMIT_FSIZE, (9000, 9000))
try:
    import_run(found, Path(sys.argv[2]), "bake", "air", {})
except BadInput as error:
    print(error)
"""


def test_a_full_disk_leaves_no_half_run(tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    path.write_text("time,temp\n" + "".join(f"{row},25\n" for row in range(500)))
    words = [sys.executable, "-c", SMALL_DISK, str(path), str(tmp_path / "runs")]
    done = subprocess.run(words, capture_output=True, text=True, check=True)
    assert "can't be kept" in done.stdout
    assert os.listdir(tmp_path / "runs") == []
    assert resource.getrlimit(resource.RLIMIT_FSIZE)[0] != 9000
