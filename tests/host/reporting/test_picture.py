"""The picture: it is there, it shows what it should, and it costs no pyplot."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from matplotlib.colors import to_rgb
from matplotlib.image import imread

from heatcore.command import Command
from heatcore.inputs import Inputs
from heatwright.documents.bench import Bench
from heatwright.judging.verdict import judge
from heatwright.records.reader import Record, read
from heatwright.records.writer import RecordWriter
from heatwright.reporting import palette, picture
from records_made import GOOD, corners, paste, write

BOARD_C = corners(GOOD)[1]


def share_of(colour: str, image: np.ndarray) -> float:
    return float(np.isclose(image[:, :, :3], to_rgb(colour), atol=0.01).all(axis=2).mean())


def drawn(record: Record, path: Path) -> np.ndarray:
    picture.draw(record, judge(record, Bench(paste())), path)
    return imread(path)


@pytest.mark.parametrize(
    ("placing", "truth_c", "board", "sensor"),
    [
        ("on_board", None, True, False),
        ("air", None, False, True),
        ("air", BOARD_C - 30, True, True),
    ],
)
def test_the_board_is_drawn_where_it_is_known_or_simulated(
    tmp_path, placing, truth_c, board, sensor
):
    duty = np.where(BOARD_C < 200, 0.9, 0.0)
    path = write(tmp_path / "record.txt", BOARD_C, truth_c, 0.9 * BOARD_C, duty, placing=placing)
    image = drawn(read(path), tmp_path / "curve.png")
    assert image.shape[:2] == (930, 1500)
    assert (share_of(palette.VERMILION, image) > 1e-3) == board
    assert (share_of(palette.BLUE, image) > 1e-3) == sensor
    # power: 0.55 of orange over white
    assert share_of("#f1ca73", image) > 0.01


def test_the_truth_is_not_drawn_over_what_was_measured(tmp_path: Path) -> None:
    images = []
    for truth_c in (None, BOARD_C - 80):
        folder = tmp_path / str(len(images))
        folder.mkdir()
        record = read(write(folder / "record.txt", BOARD_C, truth_c, placing="on_board", name="n"))
        images.append(drawn(record, folder / "curve.png"))
    assert np.array_equal(*images)


def test_two_panels_stand_side_by_side(tmp_path: Path) -> None:
    record = read(write(tmp_path / "record.txt", BOARD_C, placing="on_board"))
    panel = picture.Panel(record, judge(record, Bench(paste())), "one run")
    picture.draw_pair(panel, panel, tmp_path / "pair.png")
    image = imread(tmp_path / "pair.png")
    assert image.shape[:2] == (930, 2250)
    left, right = np.array_split(image, 2, axis=1)
    assert share_of(palette.VERMILION, left) > 1e-3
    assert share_of(palette.VERMILION, right) > 1e-3


def test_a_run_without_any_reading_and_with_a_trip_is_drawn_too(tmp_path: Path) -> None:
    command = Command()
    with RecordWriter(tmp_path / "record.txt", {"placing": "on_board"}) as record:
        for tick in range(8):
            command.stage = tick
            record.sample(tick, 250 * tick, Inputs(), command)
        record.event(8, 2000, 1, 0, 0)
        record.event(9, 2000, 77, 0, 0)
    image = drawn(read(tmp_path), tmp_path / "curve.png")
    assert share_of(palette.VERMILION, image) > 0


def test_one_sample_is_enough_for_a_picture(tmp_path: Path) -> None:
    record = read(write(tmp_path / "record.txt", BOARD_C[:1], placing="on_board"))
    assert drawn(record, tmp_path / "curve.png").shape[:2] == (930, 1500)


def test_no_state_machine_and_no_display_is_used(tmp_path: Path) -> None:
    write(tmp_path / "record.txt", BOARD_C, placing="on_board")
    program = (
        "import sys; from pathlib import Path\n"
        "from heatwright.documents import load_paste\n"
        "from heatwright.documents.bench import Bench\n"
        "from heatwright.judging import verdict\n"
        "from heatwright.reporting import picture\n"
        "from heatwright.records.reader import read\n"
        "assert 'matplotlib' not in sys.modules\n"
        "record = read(sys.argv[1])\n"
        "judged = verdict.judge(record, Bench(load_paste('sac305')))\n"
        "picture.draw(record, judged, Path(sys.argv[2]))\n"
        "assert 'matplotlib.pyplot' not in sys.modules\n"
    )
    out = tmp_path / "curve.png"
    subprocess.run([sys.executable, "-c", program, str(tmp_path), str(out)], check=True)
    assert out.stat().st_size > 10_000
