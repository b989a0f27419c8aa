"""See-it-melt runs: who is refused, when heat ends, and what is said at the end."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

import records_made
from heatcore import codes
from heatcore.limits import BOARD_MAX_MC
from heatcore.plan import SENSOR_MAX
from heatcore.plan import read as read_plan
from heatsim.params import PlantParams
from heatwright import sentences
from heatwright.documents import load_paste, load_source
from heatwright.measuring import plausible
from heatwright.measuring.measurement import BOARD_BEAD, SENSOR
from heatwright.planning.see_melt import NotSafe, see_melt_plan
from heatwright.records import melt_marks
from heatwright.records.melt_marks import Mark
from heatwright.records.reader import read
from heatwright.running import see_melt
from see_melt_made import Watcher, board_peak, run


@pytest.fixture(scope="module")
def plan() -> bytes:
    return see_melt_plan(load_source("toaster"), load_paste("sac305"))


def toaster(**changes: float) -> PlantParams:
    return replace(load_source("toaster").plant_params(), **changes)


def test_a_drawer_with_an_air_sensor_is_refused_lead_free_and_not_bismuth() -> None:
    drawer = load_source("drawer")
    with pytest.raises(NotSafe, match="thermocouple on a scrap board"):
        see_melt_plan(drawer, load_paste("sac305"))
    assert read_plan(see_melt_plan(drawer, load_paste("sn42bi58"))).law == codes.DUTY


def test_a_bead_on_the_board_lets_the_drawer_melt_and_narrows_the_ceiling() -> None:
    drawer = load_source("drawer")
    made = read_plan(see_melt_plan(drawer, load_paste("sac305"), BOARD_BEAD))
    assert made.limits[SENSOR_MAX] == BOARD_MAX_MC
    hottest_c = {}
    for reads in (SENSOR, BOARD_BEAD):
        seen, board_c = plausible.nominal_run(drawer, 0.6, reads)
        hot = int(np.argmax(board_c >= 220.0))
        hottest_c[reads] = plausible.hottest_c(drawer, plausible.until(seen, hot))
    assert hottest_c[BOARD_BEAD] < plausible.CEILING_C < hottest_c[SENSOR]


def test_heat_ends_soon_after_the_mark(plan: bytes, tmp_path: Path) -> None:
    record = run(toaster(), plan, Watcher(), tmp_path, 100.0)
    (mark,) = melt_marks.marks_of(record)
    off_s = record.time_s[record.duty > 0][-1]
    assert 19.0 <= off_s - mark.time_s <= 22.0
    assert 221.0 < board_peak(record) < 260.0


# In C at soldering heat: a bead near the tubes, and one in a cold corner or of the wrong type.
HIGH, LOW = 50.0, -90.0


@pytest.mark.parametrize("off_k", [HIGH, LOW])
def test_a_sensor_that_reads_wrong_neither_spoils_a_board_nor_keeps_it_from_melting(
    off_k: float, plan: bytes, tmp_path: Path
) -> None:
    """Nobody marks anything: ceilings alone end the heat, and at 50 C high just past the melt."""
    record = run(toaster(), plan, Watcher(marks=False), tmp_path, off_k=off_k)
    assert 217.0 < board_peak(record) < plausible.CEILING_C + 5.0


def test_paste_that_never_flowed_at_250_flows_when_the_sensor_reads_270(
    plan: bytes, tmp_path: Path
) -> None:
    """Common practice, no source: told of an oven with lead-free paste and its own sensor."""
    record = run(toaster(), plan, Watcher(), tmp_path, 100.0, HIGH - 12.0)
    (mark,) = melt_marks.marks_of(record)
    assert record.truth is not None
    at_250_s = float(record.time_s[np.argmax(record.sensor_c >= 250.0)])
    assert np.interp(at_250_s, record.truth.time_s, record.truth.board_c) < 217.0
    assert np.interp(mark.time_s, record.time_s, record.sensor_c) == pytest.approx(270.0, abs=5.0)


def test_no_press_no_heat(plan: bytes, tmp_path: Path) -> None:
    record = run(toaster(), plan, Watcher(stays=False), tmp_path, 100.0)
    assert codes.NOTE_NOT_CONFIRMED in record.raw["note"]
    assert board_peak(record) < 200.0


def test_the_ceiling_learns_from_the_run() -> None:
    """What the sensor shows of the source lowers the ceiling's figure; its level alone does not."""
    kind = load_source("toaster")
    run_, _ = plausible.nominal_run(kind, 0.6)
    seen = plausible.until(run_, 1200)
    blind = replace(seen, readings={"sensor": np.full(1201, np.nan)})
    assert plausible.hottest_c(kind, seen) < plausible.hottest_c(kind, blind) - 5.0
    low = replace(seen, readings={"sensor": 25.0 + 0.53 * (seen.readings["sensor"] - 25.0)})
    assert plausible.hottest_c(kind, low) > plausible.hottest_c(kind, seen) - 20.0


@pytest.mark.parametrize(
    ("marks", "hot_s", "said"),
    [
        (("first_melt", "last_melt"), 100, sentences.ALL_MELTED),
        (("first_melt",), 400, sentences.PARTLY_MELTED),
        ((), 100, sentences.NOT_MELTED_YET),
        ((), 301, sentences.FLUX_SPENT),
    ],
)
def test_what_to_do_now(
    marks: tuple[melt_marks.Seen, ...], hot_s: int, said: str, tmp_path: Path
) -> None:
    _, board_c = records_made.corners(records_made.GOOD)
    path = records_made.write(tmp_path / "record.txt", board_c, placing="air")
    for at, seen in enumerate(marks):
        melt_marks.add(path, Mark(250.0 + at, seen))
    hot = np.full(4 * hot_s, 160.0)
    assert see_melt.afterwards(read(path), hot, 217.0) == said


def test_a_bead_that_was_hot_enough_is_believed_though_nobody_marked(tmp_path: Path) -> None:
    _, board_c = records_made.corners(records_made.GOOD)
    path = records_made.write(tmp_path / "record.txt", board_c, placing="on_board")
    said = see_melt.afterwards(read(path), board_c, 217.0)
    assert said.startswith("Nobody marked a melt")
    assert f"{board_c.max():.0f} °C" in said
    assert see_melt.afterwards(read(path), board_c, board_c.max()) == sentences.NOT_MELTED_YET
