"""The picture of a lesson: which lines it has, and that they are those of plan and run."""

from dataclasses import replace
from functools import partial
from types import SimpleNamespace

import numpy as np
import pytest

from heatcore import plan as core
from heatsim.mains import Mains
from heatsim.plant import NODES
from heatsim.sensor import Sensor
from heatwright.documents import load_paste, load_profile, load_source
from heatwright.planning import lesson_picture
from heatwright.planning.learning import Ran, learn, taught
from heatwright.planning.lesson_picture import Taught
from heatwright.planning.model import Model
from heatwright.planning.nominal import plan_for_source
from heatwright.planning.trial import Oven, run
from heatwright.planning.wanted import Wanted
from heatwright.sentences import LESSON_LABELS

PARAMS = load_source("drawer").plant_params()
PASTE = load_paste("sac305")


@pytest.fixture(scope="module")
def lesson():
    """A run with the sensor in the air and a bead on the board, on an oven a tenth too weak."""
    data = plan_for_source(PARAMS, Wanted(PASTE, load_profile("sac305"), True, "sensor")).plan
    plan = core.read(data)
    weak = replace(PARAMS, power_w=0.9 * PARAMS.power_w)
    found = run(Oven(weak, Mains(), Sensor()), plan, "sensor")
    seconds = np.arange(int(found.plan_s[-1]), dtype=np.float64)
    nodes = [NODES.index(name) for name in ("sensor", "board_sensor")]
    moves = np.append(True, np.diff(found.plan_s) > 0)
    columns = [found.duty, *found.states.T[nodes]]
    ran = Ran(*(np.interp(seconds, found.plan_s[moves], one[moves]) for one in columns))
    learnt = learn(plan, Model(PARAMS), ran, reads_board=False)
    return SimpleNamespace(
        before=plan, now=core.read(taught(data, learnt)), ran=ran, missing_k=learnt.missing_k
    )


def drawn(monkeypatch, tmp_path, shown, now):
    """The lines of the picture by their label: times, values."""
    lines = {}

    def gathered(lay_out, figure):
        lay_out(figure)
        for axes in figure.axes:
            lines.update({line.get_label(): line.get_data() for line in axes.get_lines()})

    plain = lesson_picture.drawn
    monkeypatch.setattr(
        lesson_picture, "drawn", lambda size, lay_out: plain(size, partial(gathered, lay_out))
    )
    lesson_picture.draw(tmp_path / "x.png", shown, now, ["It was so."])
    assert (tmp_path / "x.png").read_bytes().startswith(b"\x89PNG")
    return {key: lines[label] for key, label in LESSON_LABELS.items() if label in lines}


def test_both_plans_lie_over_each_other_with_the_run_that_taught(lesson, monkeypatch, tmp_path):
    shown = Taught(lesson.before, PASTE, [lesson.ran], lesson.missing_k)
    lines = drawn(monkeypatch, tmp_path, shown, lesson.now)
    for label, plan in (("before", lesson.before), ("now", lesson.now)):
        assert lines[f"sensor_{label}"][1] == pytest.approx(np.array(plan.y_mc) / 1000)
        assert lines[f"power_{label}"][1] == pytest.approx(np.array(plan.u) / 100)
    assert lines["run_board"][1] == pytest.approx(lesson.ran.board_c)
    assert lines["run_power"][1] == pytest.approx(100 * lesson.ran.duty)
    assert np.abs(lines["moved"][1]).max() > 0.5
    # the course of the board is the same: one line, and no melt was marked
    assert not {"board_before", "board_now", "melt"} & set(lines)


def test_where_nobody_knew_the_board_the_melt_stands_instead(lesson, monkeypatch, tmp_path):
    blind = Ran(lesson.ran.duty, lesson.ran.sensor_c, np.full_like(lesson.ran.duty, np.nan))
    shown = Taught(lesson.before, PASTE, [blind], melts_s=[240.0])
    lines = drawn(monkeypatch, tmp_path, shown, lesson.now)
    assert list(lines["melt"][0]) == [240.0, 240.0]
    assert not {"run_board", "off_board"} & set(lines)
    assert "off_sensor" in lines


def test_a_bead_that_is_the_control_sensor_is_drawn_once(lesson, monkeypatch, tmp_path):
    beads = Ran(lesson.ran.duty, lesson.ran.board_c, lesson.ran.board_c)
    shown = Taught(lesson.before, PASTE, [beads], lesson.missing_k)
    lines = drawn(monkeypatch, tmp_path, shown, lesson.now)
    assert not {"run_sensor", "off_sensor"} & set(lines)
    assert "run_board" in lines
