"""The simulated `machine` and `time`: what they count, and that they never reach a chip."""

import subprocess
import sys
from pathlib import Path

import pytest

from heatsim.virtual import shadow_files
from virtual_made import firmware

MICROPYTHON = [sys.executable, "-m", "micropython_unix"]


def told(code: str, path: Path = shadow_files.SOURCES) -> str:
    done = subprocess.run(
        [*MICROPYTHON, "-c", code],
        env={"MICROPYPATH": f"{path}:.frozen"},
        capture_output=True,
        text=True,
        timeout=20,
    )
    return done.stdout + done.stderr


def test_time_driven_high_is_counted() -> None:
    code = (
        "import machine, time, bench; p = machine.Pin(15, machine.Pin.OUT, value=1);"
        "time.sleep_ms(20); p(0); time.sleep_ms(30); p(1); p.init(machine.Pin.IN);"
        "time.sleep_ms(10); print(bench.on_us[15], bench.now_us)"
    )
    assert told(code) == "20000 60000\n"


def test_ticks_wrap_at_thirty_bits() -> None:
    code = (
        "import bench, time; bench.ticks_start_us = ((1 << 30) - 5) * 1000; a = time.ticks_ms();"
        "time.sleep_ms(10); b = time.ticks_ms(); print(a, b, time.ticks_diff(b, a))"
    )
    assert told(code) == f"{(1 << 30) - 5} 5 10\n"


def test_a_starved_watchdog_resets_at_its_time() -> None:
    code = (
        "import bench, machine, time\nw = machine.WDT(timeout=100)\n"
        "time.sleep_ms(90); w.feed()\n"
        "try:\n time.sleep(5)\nexcept bench.Reset as why:\n print(why, bench.now_us)"
    )
    assert told(code) == "3 190000\n"


def test_a_busy_wait_for_the_clock_ends() -> None:
    code = "import time; s = time.ticks_ms()\nwhile time.ticks_diff(time.ticks_ms(), s) < 50: pass"
    assert told(code) == ""


@pytest.mark.parametrize("path", sorted(shadow_files.SOURCES.glob("*.py")), ids=lambda p: p.name)
def test_no_shadow_file_is_in_what_is_flashed(path: Path) -> None:
    names = {name.rpartition("/")[2].rpartition(".")[0] for name in firmware() if "/" in name}
    roots = {name.rpartition(".")[0] for name in firmware() if "/" not in name}
    assert path.stem not in roots
    assert path.stem not in names - {"wire"}
    assert path.read_bytes() not in firmware().values()


def test_shadow_modules_refuse_a_chip(tmp_path: Path) -> None:
    # `sys` can't be shadowed: the guard is tried with the platform's name written into its text
    for source in shadow_files.SOURCES.glob("*.py"):
        text = source.read_text().replace("sys.platform", '"rp2"')
        (tmp_path / source.name).write_text(text)
    for name in ("machine", "time", "os", "wire", "flash"):
        out = told(f"import {name}", tmp_path)
        assert "ImportError: simulated modules: these never go on a chip" in out
