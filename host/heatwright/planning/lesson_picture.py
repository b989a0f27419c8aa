"""The picture of a lesson: the plan before and now over each other, and the runs that taught it."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from heatcore.plan import Plan
from heatwright.documents.paste import Paste
from heatwright.planning.learning import AFTER_PEAK_S, FULL, MILLI, Ran
from heatwright.records import folder
from heatwright.records.units import Floats
from heatwright.reporting.marks import draw_paste
from heatwright.reporting.palette import BLUE, GREEN, GREY, INK, ORANGE, PALE, VERMILION
from heatwright.reporting.picture import drawn
from heatwright.sentences import LESSON_LABELS as LABELS

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

SIZE_IN = (10.0, 9.0)
HEIGHTS = (5, 2.2, 2.6)
TOP_MARGIN_K, WIDTH = 40.0, 120
# The board's course before and now are one line where they are no further apart.
SAME_K = 0.5


@dataclass(frozen=True)
class Taught:
    """What a lesson was drawn from: the earlier plan, and its runs on its own clock.

    ``missing_k``: what they lacked to the wanted board, a value a second, where a bead told it;
    ``melts_s``: when a person saw solder melt.
    """

    before: Plan
    paste: Paste
    runs: Sequence[Ran]
    missing_k: Floats | None = None
    melts_s: Sequence[float] = ()

    @property
    def has_own_sensor(self) -> bool:
        """Whether the control sensor was another one than the bead on the board."""
        return not all(np.array_equal(run.board_c, run.sensor_c) for run in self.runs)


def draw(path: Path, taught: Taught, now: Plan, changes: Sequence[str]) -> None:
    """Write the picture as a PNG, whole or not at all; ``changes`` stand above it."""
    data = drawn(SIZE_IN, lambda figure: _lay_out(figure, taught, now, changes))
    folder.put(path.parent, path.name, data)


def _lay_out(figure: Figure, taught: Taught, now: Plan, changes: Sequence[str]) -> None:
    figure.set_layout_engine("constrained")
    grid = figure.add_gridspec(len(HEIGHTS), 1, height_ratios=HEIGHTS)
    courses = figure.add_subplot(grid[0])
    off, power = (figure.add_subplot(grid[row], sharex=courses) for row in (1, 2))
    _courses(courses, taught, now)
    _off(off, taught, now)
    _power(power, taught, now)
    courses.set(xlim=(0, max(_s(taught.before)[-1], _s(now)[-1])))
    lines = [line for change in changes for line in textwrap.wrap(change, WIDTH)]
    courses.set_title("\n".join(lines), loc="left", fontsize=10, linespacing=1.35)
    for axes in (courses, off, power):
        axes.grid(axis="y", color=PALE, linewidth=0.6)
        axes.legend(loc="center left", bbox_to_anchor=(1.0, 0.5), frameon=False, fontsize=9)
    for axes in (courses, off):
        axes.tick_params(labelbottom=False, length=0)


def _s(plan: Plan) -> Floats:
    return np.array(plan.t_ms) / MILLI


def _c(values: Sequence[int]) -> Floats:
    return np.array(values) / MILLI


def _courses(axes: Axes, taught: Taught, now: Plan) -> None:
    before = taught.before
    top_c = max(_c(before.y_mc).max(), _c(now.y_mc).max(), _c(now.b_mc).max())
    top_c = max(float(top_c), taught.paste.window.peak_c.high) + TOP_MARGIN_K
    axes.set(ylim=(0, top_c), ylabel="Temperature, °C")
    draw_paste(axes, taught.paste)
    for number, run in enumerate(taught.runs):
        _run(axes, run, taught.has_own_sensor, number)
    axes.plot(
        _s(before), _c(before.b_mc), color=INK, ls="-", lw=1.0, label=_board_label(taught, now)
    )
    if _moved(before, now):
        axes.plot(_s(now), _c(now.b_mc), color=INK, ls="-.", lw=1.4, label=LABELS["board_now"])
    axes.plot(
        _s(before), _c(before.y_mc), color=GREY, ls="--", lw=1.4, label=LABELS["sensor_before"]
    )
    axes.plot(_s(now), _c(now.y_mc), color=BLUE, ls="-.", lw=1.6, label=LABELS["sensor_now"])
    for number, at_s in enumerate(taught.melts_s):
        axes.axvline(at_s, color=VERMILION, ls=":", lw=1.2, label=_once("melt", number))


def _board_label(taught: Taught, now: Plan) -> str:
    return LABELS["board_before" if _moved(taught.before, now) else "board"]


def _moved(before: Plan, now: Plan) -> bool:
    """Whether the board is wanted elsewhere now: a plan made anew, not one that has learnt."""
    there_c = np.interp(_s(before), _s(now), _c(now.b_mc))
    return bool(np.abs(there_c - _c(before.b_mc)).max() > SAME_K)


def _once(label: str, number: int) -> str | None:
    """Of lines that are alike the first one stands in the legend."""
    return None if number else LABELS[label]


def _run(axes: Axes, run: Ran, own_sensor: bool, number: int) -> None:
    seconds = np.arange(len(run.duty))
    if np.isfinite(run.board_c).any():
        label = _once("run_board", number)
        axes.plot(seconds, run.board_c, color=VERMILION, lw=2.4, alpha=0.6, label=label)
    if own_sensor:
        label = _once("run_sensor", number)
        axes.plot(seconds, run.sensor_c, color=GREEN, lw=2.4, alpha=0.5, label=label)


def _off(axes: Axes, taught: Taught, now: Plan) -> None:
    """Why: how far the runs were off the earlier courses, and by how much the sensor's moves."""
    before = taught.before
    seconds = np.arange(_s(before)[int(np.argmax(before.b_mc))] + AFTER_PEAK_S)
    was_c = _on(seconds, before)
    axes.axhline(0.0, color=GREY, lw=0.8)
    axes.set(ylabel=LABELS["off"])
    if taught.missing_k is not None:
        off_k = -taught.missing_k[: len(seconds)]
        axes.plot(seconds[: len(off_k)], off_k, color=VERMILION, lw=1.6, label=LABELS["off_board"])
    if taught.has_own_sensor:
        for number, run in enumerate(taught.runs):
            off_k = run.sensor_c[: len(seconds)] - was_c[: len(run.sensor_c)]
            label = _once("off_sensor", number)
            axes.plot(seconds[: len(off_k)], off_k, color=GREEN, lw=1.6, alpha=0.7, label=label)
    moved_k = _on(seconds, now) - was_c
    axes.plot(seconds, moved_k, color=BLUE, ls="-.", lw=1.6, label=LABELS["moved"])


def _on(seconds: Floats, plan: Plan) -> Floats:
    return np.interp(seconds, _s(plan), _c(plan.y_mc))


def _power(axes: Axes, taught: Taught, now: Plan) -> None:
    for number, run in enumerate(taught.runs):
        label = _once("run_power", number)
        seconds = np.arange(len(run.duty))
        axes.plot(seconds, 100 * run.duty, color=ORANGE, lw=0.9, alpha=0.7, label=label)
    for plan, colour, style, label in (
        (taught.before, GREY, "--", "power_before"),
        (now, BLUE, "-.", "power_now"),
    ):
        percent = 100 * np.array(plan.u) / FULL
        axes.plot(_s(plan), percent, color=colour, ls=style, lw=1.6, label=LABELS[label])
    axes.set(ylim=(0, 105), ylabel="Power, %", xlabel=LABELS["time"], yticks=(0, 50, 100))
