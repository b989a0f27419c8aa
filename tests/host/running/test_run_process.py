"""`heatwright run` as a process: signals, a kill at any moment, a reader that goes away, keys."""

import json
import os
import pty
import signal
import subprocess
import time

import pytest

from heatwright.records.reader import read
from host.running.mine import HEATWRIGHT, begin

# Slow enough to be met half-way, fast enough not to be waited for.
SLOW = ("run", "--on", "plant:box:make", "--sensor", "board_sensor", "--speed", "120")
PATIENCE_S = 60.0


def await_record(folder, at_least=60_000):
    """The run's folder, once its record has grown to this many bytes."""
    until = time.monotonic() + PATIENCE_S
    while time.monotonic() < until:
        for path in folder.glob("runs/*/record.txt"):
            if path.stat().st_size >= at_least:
                return path.parent
        time.sleep(0.02)
    raise AssertionError("no record is being written")


@pytest.mark.parametrize(("number", "exit_code"), [(signal.SIGINT, 130), (signal.SIGTERM, 6)])
def test_a_signal_turns_the_heat_off_and_closes_the_record(tmp_path, number, exit_code):
    run = begin(tmp_path, *SLOW, "--json")
    place = await_record(tmp_path)
    run.send_signal(number)
    out, err = run.communicate(timeout=PATIENCE_S)
    assert run.returncode == exit_code
    told = json.loads(out)
    assert told["outcome"] == "stopped"
    assert b"heat is off" in err
    record = read(place)
    assert record.damaged_lines == 0
    stopped_s = next(event.time_s for event in record.events if event.code == 105)
    assert record.duty[record.time_s > stopped_s].max() == 0
    assert record.time_s[-1] - stopped_s > 2.0
    assert (place / "verdict.json").exists()


def test_a_second_interrupt_does_not_wait_for_the_oven_to_cool(tmp_path):
    run = begin(tmp_path, *SLOW[:-1], "30")
    place = await_record(tmp_path)
    run.send_signal(signal.SIGINT)
    time.sleep(0.5)
    assert run.poll() is None
    run.send_signal(signal.SIGINT)
    _, err = run.communicate(timeout=5.0)
    assert run.returncode == 130
    assert b"Traceback" not in err
    assert f"What was recorded so far: {place.relative_to(tmp_path)}" in err.decode()
    assert read(place).damaged_lines == 0


def test_a_kill_leaves_a_record_that_can_be_read_and_judged(tmp_path):
    run = begin(tmp_path, *SLOW)
    place = await_record(tmp_path)
    run.kill()
    run.communicate(timeout=PATIENCE_S)
    record = read(place)
    assert record.damaged_lines <= 1
    assert len(record.time_s) > 50
    judged = subprocess.run(
        [*HEATWRIGHT, "judge", str(place)], capture_output=True, timeout=PATIENCE_S, check=False
    )
    assert judged.returncode in (0, 3)
    assert judged.stdout


def unread(folder, stream):
    """A run of which nobody reads this stream; what it says and complains of at its end."""
    reading, writing = os.pipe()
    os.close(reading)
    run = begin(folder, "run", "--on", "plant:box:make", "--json", **{stream: writing})
    os.close(writing)
    return run, *run.communicate(timeout=PATIENCE_S)


def test_a_reader_that_goes_away_is_no_error(tmp_path):
    run, _, err = unread(tmp_path, "stdout")
    assert b"Traceback" not in err
    assert run.returncode == 0


def test_a_terminal_that_goes_away_does_not_end_the_run(tmp_path):
    _, out, _ = unread(tmp_path, "stderr")
    assert json.loads(out)["outcome"] == "finished"


def on_a_terminal(folder, *arguments):
    """The command with keyboard and messages on a terminal of its own; the terminal's other end."""
    ours, theirs = pty.openpty()
    run = begin(folder, *arguments, stdin=theirs, stderr=theirs)
    os.close(theirs)
    return run, ours


def read_all(terminal):
    shown = b""
    try:
        while piece := os.read(terminal, 4096):
            shown += piece
    except OSError:
        # how a terminal says that the other side has closed it
        pass
    return shown


def test_keys_stop_the_run_on_a_terminal_and_the_line_is_live(tmp_path):
    run, terminal = on_a_terminal(tmp_path, *SLOW, "--json")
    await_record(tmp_path)
    os.write(terminal, b"m\nu\ns\n")
    shown = read_all(terminal)
    out, _ = run.communicate(timeout=PATIENCE_S)
    assert run.returncode == 6
    told = json.loads(out)
    assert told["outcome"] == "stopped"
    events = [event.code for event in read(tmp_path / told["record"]).events]
    assert [code for code in events if code in (101, 102, 105)] == [101, 102, 105]
    assert b"Melt marked." in shown
    assert shown.count(b" left") >= 3


def test_ctrl_c_typed_on_a_terminal_is_130(tmp_path):
    run, terminal = on_a_terminal(tmp_path, *SLOW)
    await_record(tmp_path)
    run.send_signal(signal.SIGINT)
    shown = read_all(terminal)
    run.communicate(timeout=PATIENCE_S)
    assert run.returncode == 130
    assert b"Stopping: heat is off" in shown
