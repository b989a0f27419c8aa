"""The real mpremote drives a virtual board over its pseudo-terminal, as it would drive hardware."""

import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
import serial

from heatsim.virtual.chip import ChipSetup
from heatsim.virtual.frames import HARD_RESET, WATCHDOG
from heatsim.virtual.lockstep import LockstepController
from heatsim.virtual.serving import Doomed
from virtual_made import ServedBoard, kettle


@pytest.fixture
def empty(tmp_path: Path) -> Iterator[ServedBoard]:
    with ServedBoard(tmp_path, speed=1.0) as board:
        yield board


def mpremote(board: ServedBoard, *words: str) -> str:
    command = [sys.executable, "-m", "mpremote", "connect", board.port, *words]
    done = subprocess.run(command, capture_output=True, text=True, timeout=30)
    assert done.returncode == 0, done.stderr + done.stdout
    return done.stdout


def test_code_runs_below_a_root_of_its_own(empty: ServedBoard) -> None:
    out = mpremote(empty, "exec", "import os; print(os.getcwd(), os.listdir('/'))")
    assert out.strip() == "/ []"


def test_files_are_copied_both_ways(empty: ServedBoard, tmp_path: Path) -> None:
    source = tmp_path.parent / "there.bin"
    source.write_bytes(bytes(range(256)) * 8)
    mpremote(empty, "fs", "cp", str(source), ":there.bin")
    assert (tmp_path / "there.bin").read_bytes() == source.read_bytes()
    back = tmp_path.parent / "back.bin"
    mpremote(empty, "fs", "cp", ":there.bin", str(back))
    assert back.read_bytes() == source.read_bytes()


def test_a_reset_starts_the_chip_anew(empty: ServedBoard) -> None:
    mpremote(empty, "reset")
    deadline = time.monotonic() + 5
    while HARD_RESET not in empty.board.resets and time.monotonic() < deadline:
        time.sleep(0.05)
    out = mpremote(empty, "resume", "exec", "import machine; print(machine.reset_cause())")
    assert empty.board.resets == [HARD_RESET]
    assert out.strip() == str(HARD_RESET)


def test_main_py_runs_and_a_soft_reset_runs_it_again(empty: ServedBoard, tmp_path: Path) -> None:
    (tmp_path / "main.py").write_text("print('main has run')")
    with serial.Serial(empty.port, timeout=2) as port:
        port.read_until(b">>> ")
        port.write(b"\x04")
        said = port.read_until(b"main has run")
    assert said.endswith(b"MPY: soft reboot\r\nmain has run")


def test_ctrl_c_breaks_off_what_runs_and_only_that(empty: ServedBoard) -> None:
    with serial.Serial(empty.port, timeout=3) as port:
        port.write(b"\r\x03\x01")
        assert port.read_until(b"raw REPL; CTRL-B to exit\r\n>").endswith(b">")
        port.write(b"import time\ntry:\n while True: time.sleep_ms(5)\n")
        port.write(b"except KeyboardInterrupt: print('broken off')\n\x04")
        assert port.read(2) == b"OK"
        time.sleep(0.3)
        port.write(b"\x03")
        assert port.read_until(b"\x04\x04>") == b"broken off\n\x04\x04>"
        port.write(b"\x03\x03\x02")
        assert b">>> " in port.read_until(b">>> ")


def test_a_program_that_hangs_is_ended_by_its_watchdog(empty: ServedBoard) -> None:
    with serial.Serial(empty.port, timeout=3) as port:
        port.write(b"\r\x03\x01import machine\nmachine.WDT(timeout=300)\nwhile True: pass\n\x04")
        deadline = time.monotonic() + 8
        while not empty.board.resets and time.monotonic() < deadline:
            port.read(100)
    assert empty.board.resets == [WATCHDOG]


def test_a_chip_that_cannot_cover_the_laptops_files_serves_nobody(tmp_path: Path) -> None:
    setup = ChipSetup(tmp_path, extra_env={"HEATWRIGHT_ROOT": "/no/such/folder"})
    with LockstepController(setup, kettle()) as controller, pytest.raises(Doomed):
        controller.step()
