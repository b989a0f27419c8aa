"""What happens to programs and disks while a run is recorded: nothing that was written is lost."""

from __future__ import annotations

import resource
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from heatcore.limits import TICK_MS
from heatcore.plan import write as write_plan
from heatwright.records import folder, reader
from heatwright.records.archive import Archive
from heatwright.replaying.replay import plan_of, replay
from short_plan import SHORT

# A third of a record's worth, and less than its picture.
SMALL_DISK_BYTES = 40_000


def limit_files() -> None:
    resource.setrlimit(resource.RLIMIT_FSIZE, (SMALL_DISK_BYTES, SMALL_DISK_BYTES))


def run_words(root: Path) -> list[str]:
    """The command of a short run whose folder will be in ``root / "runs"``."""
    plan = root / "short.json"
    plan.write_bytes(write_plan(SHORT))
    words = ["run", "--on", "sim:toaster", "--source", "toaster", "--plan", str(plan)]
    return [sys.executable, "-m", "heatwright", *words, "--out", str(root / "runs")]


@pytest.fixture(scope="module")
def on_a_small_disk(tmp_path_factory) -> tuple[Path, subprocess.CompletedProcess[str]]:
    folder_of_all = tmp_path_factory.mktemp("full")
    root, words = folder_of_all / "runs", run_words(folder_of_all)
    done = subprocess.run(
        words, capture_output=True, text=True, check=False, preexec_fn=limit_files
    )
    (place,) = [path for path in root.iterdir() if path.is_dir()]
    return place, done


def test_a_full_disk_stops_the_recording_and_not_the_run(on_a_small_disk) -> None:
    place, done = on_a_small_disk
    assert "Recording stopped" in done.stderr
    assert "1:00  ramp down" in done.stderr.split("Recording stopped")[1]
    # an air sensor alone: the verdict is unknown, and said although nothing more could be kept
    assert done.returncode == 3
    assert done.stdout.startswith("unknown: ")
    assert (place / folder.RECORD).stat().st_size == SMALL_DISK_BYTES


def test_what_was_recorded_before_the_disk_was_full_is_whole(on_a_small_disk) -> None:
    place, _ = on_a_small_disk
    record = reader.read(place)
    assert record.damaged_lines == 1
    assert set((record.raw["now_ms"][1:] - record.raw["now_ms"][:-1]).tolist()) == {TICK_MS}
    assert replay(record, plan_of((place / folder.PLAN).read_bytes(), "plan")).is_same
    assert Archive(place.parent).runs()[0].seconds == record.time_s[-1]


def test_a_killed_run_is_listed_and_replayed_to_its_last_tick(tmp_path: Path) -> None:
    root = tmp_path / "runs"
    running = subprocess.Popen(
        [*run_words(tmp_path), "--speed", "20"],
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    wait_for_samples(root, 20.0)
    running.send_signal(signal.SIGKILL)
    running.wait()
    (known,) = Archive(root).runs()
    assert known.verdict is None
    assert known.source == "Small quartz toaster, 9 litres"
    record = reader.read(root / known.id)
    assert record.damaged_lines <= 1
    assert record.time_s[-1] >= 20.0
    assert replay(record, plan_of((root / known.id / folder.PLAN).read_bytes(), "plan")).is_same


def wait_for_samples(root: Path, until_s: float) -> None:
    """Look at the archive, as a page would, until the run being recorded has got this far."""
    for _ in range(600):
        if root.is_dir() and any((one.seconds or 0) >= until_s for one in Archive(root).runs()):
            return
        time.sleep(0.05)
    raise AssertionError("the run was not recorded in half a minute")
