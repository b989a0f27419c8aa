"""The picture of a plan: predicted beside asked, the power for it, and with details the loop."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from heatsim.plant import NODES
from heatwright import sentences
from heatwright.documents.paste import Paste
from heatwright.planning.asked import line
from heatwright.planning.model import BOARD, LARGE, Model, last
from heatwright.planning.nominal import Planned
from heatwright.planning.response import linearised
from heatwright.planning.schedule import Row
from heatwright.planning.trajectory import Trajectory
from heatwright.planning.tuning import Floats
from heatwright.planning.wanted import Wanted
from heatwright.records import folder
from heatwright.reporting.marks import draw_paste
from heatwright.reporting.palette import BLUE, GREEN, GREY, INK, ORANGE, PALE, VERMILION
from heatwright.reporting.picture import drawn

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

WIDTH_IN, HEIGHT_IN, DETAILS_IN = 10.0, 6.2, 3.4
STEP_S, WATCHED_S = 0.25, 180.0


def draw(
    path: Path,
    model: Model,
    planned: Planned,
    wanted: Wanted,
    *,
    clocked: Trajectory | None = None,
    details: bool = False,
) -> None:
    """Write the picture as a PNG; ``clocked`` is the asked profile as the source follows it."""
    found = planned.trajectory
    if found is None:
        raise ValueError("there is no trajectory to draw")
    high_in = HEIGHT_IN + (DETAILS_IN if details else 0.0)

    def lay_out(figure: Figure) -> None:
        figure.set_layout_engine("constrained")
        ratios = [5, 1, 3] if details else [5, 1]
        grid = figure.add_gridspec(len(ratios), 1, height_ratios=ratios)
        curves = figure.add_subplot(grid[0])
        _curves(curves, found, wanted, clocked)
        _cue(curves, found, wanted.paste, sentences.DRAWN_CUES[model.params.structure])
        _power(figure.add_subplot(grid[1], sharex=curves), found)
        if details:
            _step(figure.add_subplot(grid[2]), model, found, wanted.reads, planned.rows)

    folder.put(path.parent, path.name, drawn((WIDTH_IN, high_in), lay_out))


def _curves(axes: Axes, found: Trajectory, wanted: Wanted, clocked: Trajectory | None) -> None:
    sensor = found.fine[:, NODES.index(wanted.reads)]
    asked_s, asked_c = line(wanted.profile)
    end_s = float(max(found.fine_s[-1], asked_s[-1] if clocked else 0.0))
    top_c = max(float(found.fine[:, BOARD].max()), float(sensor.max())) + 40.0
    axes.set(xlim=(0, end_s), ylim=(0, top_c), ylabel="Temperature, °C")
    axes.grid(axis="y", color=PALE, linewidth=0.6)
    axes.tick_params(labelbottom=False, length=0)
    draw_paste(axes, wanted.paste)
    axes.plot(asked_s, asked_c, color=INK, ls="--", lw=1.2, label="profile asked for")
    if clocked:
        axes.plot(
            clocked.fine_s, clocked.fine[:, BOARD], color=GREY, ls=":", lw=2.0,
            label="board, the profile on its own clock",
        )  # fmt: skip
    axes.plot(found.fine_s, sensor, color=BLUE, ls="-.", lw=1.4, label=_sensor_label(wanted))
    axes.plot(found.fine_s, found.fine[:, LARGE], color=GREEN, lw=1.2, label="largest part")
    axes.plot(found.fine_s, found.fine[:, BOARD], color=VERMILION, lw=2.6, label="board, planned")
    axes.legend(loc="lower center", frameon=False)


def _sensor_label(wanted: Wanted) -> str:
    return "bead on the board" if wanted.reads == "board_sensor" else "sensor"


def _cue(axes: Axes, found: Trajectory, paste: Paste, words: str) -> None:
    if found.door_cue_s is None:
        return
    axes.axvline(found.door_cue_s, color=GREY, lw=0.8)
    axes.text(
        found.door_cue_s, 0.35 * paste.above_c, words, rotation=90, color=GREY,
        ha="right", va="center",
    )  # fmt: skip


def _power(axes: Axes, found: Trajectory) -> None:
    axes.fill_between(found.time_s, 100 * found.duty, color=ORANGE, alpha=0.55, lw=0)
    axes.plot(found.time_s, 100 * found.duty, color=ORANGE, lw=0.9)
    axes.set(ylim=(0, 105), ylabel="Power, %", xlabel="Time, s", yticks=(0, 50, 100))
    axes.grid(axis="y", color=PALE, linewidth=0.6)


def _step(axes: Axes, model: Model, found: Trajectory, reads: str, rows: tuple[Row, ...]) -> None:
    """How the closed loop takes a deviation of 1 K back, at each row of gains."""
    styles = ("-", "--", "-.", ":")
    for row, style in zip(rows, styles, strict=False):
        at = int(np.searchsorted(found.fine_s, row.at_s))
        time_s, left_k = deviation(model, found, at, reads, row)
        margins = row.margins
        named = (
            f"gains from {row.from_s:.0f} s: gain margin {margins.gain:.1f}, "
            f"phase margin {margins.phase_deg:.0f}°, Ms {margins.ms:.2f}"
        )
        axes.plot(time_s, left_k, color=BLUE, ls=style, lw=1.3, label=named)
    axes.axhline(0.0, color=GREY, lw=0.6)
    axes.set(xlabel="Seconds after a step of 10 % of power", ylabel="Deviation, K")
    axes.grid(axis="y", color=PALE, linewidth=0.6)
    axes.legend(loc="lower right", frameon=False)


def deviation(
    model: Model, found: Trajectory, at: int, reads: str, row: Row
) -> tuple[Floats, Floats]:
    """The sensor's deviation after 10 % of power is lost, closed loop, linearised: s and K."""
    duty = float(np.interp(found.fine_s[at], found.time_s, found.duty))
    linear = linearised(model, last(found.fine[: at + 1]), duty, reads)
    x: Floats = np.zeros(len(linear.b))
    total = slope = before = 0.0
    gains, left = row.gains, []
    for _ in range(int(WATCHED_S / STEP_S)):
        y = float(linear.c @ x)
        total += y * STEP_S
        slope += ((y - before) / STEP_S - slope) * STEP_S / (gains.filter_s + STEP_S)
        before = y
        push = y + total / gains.integral_s + gains.derivative_s * slope
        # an implicit step: the element's lag is no longer than a few of these
        moved = x + STEP_S * linear.b * (-0.1 - gains.duty_per_k * push)
        held = np.linalg.solve(np.eye(len(x)) - STEP_S * linear.a, moved)
        x = np.asarray(held, dtype=np.float64)
        left.append(y)
    return STEP_S * np.arange(len(left), dtype=np.float64), np.array(left, dtype=np.float64)
