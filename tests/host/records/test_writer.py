"""A record survives what happens to programs and disks while it is being written."""

from __future__ import annotations

import hashlib
import os
import resource
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from heatcore import line
from heatcore.command import Command
from heatcore.inputs import Inputs
from heatwright.errors import BadInput
from heatwright.records import lines, reader, writer
from heatwright.records.writer import RecordWriter

# Writes samples for ever and says the number of each once it is written.
ENDLESS = """
import sys
from heatcore.command import Command
from heatcore.inputs import Inputs
from heatwright.records.writer import RecordWriter
from pathlib import Path
with RecordWriter(Path(sys.argv[1]), {"name": "endless"}) as record:
    for seq in range(int(sys.argv[2])):
        record.sample(seq, 250 * seq, Inputs(), Command())
        print(seq, flush=True)
print("trouble:", record.trouble)
"""


def endless(path: Path, count: int, **options: object) -> subprocess.Popen[str]:
    arguments = [sys.executable, "-c", ENDLESS, str(path), str(count)]
    return subprocess.Popen(arguments, stdout=subprocess.PIPE, text=True, **options)


@pytest.mark.parametrize("lines_before", [1, 40, 333])
def test_kill_loses_no_line_that_was_written(tmp_path: Path, lines_before: int) -> None:
    path = tmp_path / "record.txt"
    program = endless(path, 1_000_000)
    for _ in range(lines_before):
        last = int(program.stdout.readline())
    program.send_signal(signal.SIGKILL)
    told = [int(text) for text in program.stdout.read().splitlines(keepends=True) if "\n" in text]
    program.wait()
    record = reader.read(path)
    assert record.raw["seq"].tolist()[: last + 1] == list(range(last + 1))
    assert record.raw["seq"][-1] >= max([last, *told])
    assert record.damaged_lines <= 1


def limit_file_size() -> None:
    resource.setrlimit(resource.RLIMIT_FSIZE, (5000, 5000))


def test_a_disk_that_fills_up_ends_the_record_and_not_the_program(tmp_path: Path) -> None:
    path = tmp_path / "record.txt"
    program = endless(path, 300, preexec_fn=limit_file_size)
    said = program.communicate()[0].splitlines()
    assert program.returncode == 0
    assert said[-2] == "299"
    assert "Recording stopped" in said[-1]
    record = reader.read(path)
    assert path.stat().st_size == 5000
    assert record.damaged_lines == 1
    assert record.raw["seq"].tolist() == list(range(len(record.time_s)))
    assert len(record.time_s) > 20


def test_a_full_device_is_reported_once_then_the_writer_is_quiet(tmp_path, monkeypatch) -> None:
    monkeypatch.setattr(writer, "_open_new", lambda path: os.open("/dev/full", os.O_WRONLY))
    said: list[str] = []
    record = RecordWriter(tmp_path / "record.txt", {"name": "full"}, report=said.append)
    for seq in range(5):
        record.event(seq, seq, 104, 1, 0)
    record.close()
    assert len(said) == 1
    assert "No space left on device" in said[0]
    assert record.trouble == said[0]


def test_the_trace_goes_on_when_the_disk_is_full(tmp_path, monkeypatch) -> None:
    def one_run(path: Path) -> str:
        with RecordWriter(path, {}) as record:
            record.event(0, 0, 107, 0, 0)
        return record.trace_sha256

    whole = one_run(tmp_path / "record.txt")
    monkeypatch.setattr(writer, "_open_new", lambda path: os.open("/dev/full", os.O_WRONLY))
    assert one_run(tmp_path / "other.txt") == whole


def test_the_disk_is_synced_at_most_once_a_second(tmp_path, monkeypatch) -> None:
    now_s = [0.0]
    synced_at: list[float] = []
    monkeypatch.setattr(os, "fsync", lambda file: synced_at.append(now_s[0]))
    record = RecordWriter(tmp_path / "record.txt", {}, clock=lambda: now_s[0])
    for tick in range(41):
        now_s[0] = 0.25 * tick
        record.sample(tick, 250 * tick, Inputs(), Command())
    assert synced_at == [float(second) for second in range(1, 11)]


def test_a_record_is_never_written_over(tmp_path: Path) -> None:
    path = tmp_path / "record.txt"
    RecordWriter(path, {"name": "first"}).close()
    with pytest.raises(BadInput, match="can't be made") as refused:
        RecordWriter(path, {"name": "second"})
    assert str(path) in str(refused.value)
    assert b"first" in path.read_bytes()


def test_every_line_keeps_to_the_length_of_the_contract(tmp_path: Path) -> None:
    path = tmp_path / "record.txt"
    extremes = Inputs(), Command()
    for values in extremes:
        for name in vars(values):
            setattr(values, name, -(1 << 29))
    with RecordWriter(
        path, {"controller": "plant:" + "ü" * 500, "plan_sha256": "f" * 64}
    ) as record:
        record.truth(9_999_999, 99_999_999, *[-999_999] * 4)
        record.event(9_999_999, 99_999_999, 99, -999_999_999, -999_999_999)
    assert all(len(piece) <= line.LINE_MAX for piece in path.read_bytes().splitlines(True))
    assert all(line.decode(piece) for piece in path.read_bytes().splitlines(True))


def test_a_usual_sample_fits_into_a_line() -> None:
    inputs, command = Inputs(), Command()
    inputs.sensor_mc, inputs.sensor_seq, inputs.cold_junction_mc = 249_750, 12_000, 41_250
    command.y_mc, command.duty, command.ff_duty = 249_999, 9_800, 9_800
    encoded = line.encode(lines.sample(12_000, 3_000_000, inputs, command))
    assert len(encoded) <= line.LINE_MAX


def test_the_trace_is_the_hash_of_samples_and_events_without_their_crc(tmp_path: Path) -> None:
    path = tmp_path / "record.txt"
    with RecordWriter(path, {"name": "trace"}) as record:
        record.event(0, 0, 107, 0, 0)
        record.truth(0, 250, 1, 2, 3, 4)
        record.sample(1, 250, Inputs(), Command())
    arrays = [piece.rsplit(b" ", 1)[0] for piece in path.read_bytes().splitlines()]
    told = b"".join(array + b"\n" for array in arrays if array[2:3] in (b"s", b"e"))
    assert record.trace_sha256 == hashlib.sha256(told).hexdigest()
    assert reader.read(path).trace_sha256 == record.trace_sha256
