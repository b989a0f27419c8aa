"""The archive with 2,000 runs, an import, a replay, a report: how long each takes."""

from __future__ import annotations

import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import records_made
from heatsim.loop import Rig, run
from heatsim.plant import Plant
from heatsim.sensor import Sensor
from heatwright.documents import load_paste, load_profile, load_source, locate
from heatwright.planning.nominal import Wanted, plan_for_source
from heatwright.records import export, folder
from heatwright.records.archive import Archive
from heatwright.records.archive import Wanted as Filter
from heatwright.records.csv_import import read_csv
from heatwright.records.import_run import import_run
from heatwright.records.reader import read
from heatwright.records.writer import RecordWriter
from heatwright.replaying.replay import plan_of, replay
from heatwright.reporting.html import page
from heatwright.reporting.report import gather

Row = tuple[str, float, str, str]
RUNS = 2000
WARNED = Filter(verdict="warn")


def figures() -> list[Row]:
    """Rows of name, value, unit and bar."""
    with tempfile.TemporaryDirectory() as place:
        root = Path(place)
        return [*_archive(root / "many"), *_one_run(root / "one")]


def _seconds(act: Callable[[], object]) -> float:
    began = time.perf_counter()
    act()
    return time.perf_counter() - began


def _archive(root: Path) -> list[Row]:
    first = _first_run(root)
    for number in range(1, RUNS):
        shutil.copytree(first, root / f"2026{1 + number % 12:02}{1 + number % 28:02}-{number:06}-x")
    kept = Archive(root)
    words = [sys.executable, "-m", "heatwright", "runs", "list", "--archive", str(root)]
    anew = _seconds(kept.reindex)
    cold = _seconds(lambda: subprocess.run(words, check=True, capture_output=True))
    return [
        (f"archive, index of {RUNS} runs made anew", anew, "s", "printed"),
        (f"archive, {RUNS} runs listed", _seconds(kept.runs), "s", "<= 0.3"),
        ("archive, listed by verdict", _seconds(lambda: kept.runs(WARNED)), "s", "printed"),
        ("archive, listed, cold process", cold, "s", "printed"),
    ]


def _first_run(root: Path) -> Path:
    place = root / "20260101-000000-x"
    place.mkdir(parents=True)
    header = {"name": "bench", "started": "2026-01-01T00:00:00+00:00", "placing": "on_board"}
    records_made.write(place / folder.RECORD, records_made.corners(records_made.GOOD)[1], **header)
    for kind in ("paste", "source"):
        name = "sac305" if kind == "paste" else "toaster"
        shutil.copy(locate(kind, name), place / f"{kind}.toml")
    folder.put_json(place, folder.VERDICT, {"verdict": "warn", "paste": "SAC305"})
    return place


def _one_run(place: Path) -> list[Row]:
    place.mkdir()
    source = load_source("toaster")
    shutil.copy(locate("paste", "sac305"), place / folder.PASTE)
    wanted = Wanted(load_paste("sac305"), load_profile("sac305"))
    data = plan_for_source(source.plant_params(), wanted).plan
    with RecordWriter(place / folder.RECORD, {"name": "bench", "placing": "air"}) as writer:
        run(Rig(Plant(source.plant_params()), Sensor("max31855")), data, writer.write)
    record = read(place)
    again = _seconds(lambda: replay(record, plan_of(data, "plan")))
    table = place / "run.csv"
    table.write_text(export.as_csv(record))
    imported = _seconds(lambda: import_run(read_csv(table), place / "runs", "bench", "air", {}))
    html = page(gather(place))
    return [
        ("replay, ticks a second", len(record.time_s) / again, "ticks/s", "printed"),
        ("import of a run", imported, "s", "printed"),
        ("report as HTML", _seconds(lambda: page(gather(place))), "s", "printed"),
        ("report's size", len(html.encode()) / 1000, "kB", "printed"),
    ]
