"""The picture of another plan: what was recorded, what it would have commanded and done."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from heatwright import sentences
from heatwright.documents.paste import Paste
from heatwright.records import folder
from heatwright.records.reader import Record
from heatwright.replaying.other import Commanded, Simulated
from heatwright.reporting.marks import draw_paste
from heatwright.reporting.palette import BLUE, GREEN, GREY, INK, ORANGE, PALE, VERMILION
from heatwright.reporting.picture import HEIGHT_IN, TOP_MARGIN_K, WIDTH_IN, drawn

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

BOARDS = ((VERMILION, ":"), (GREEN, "-"))


def draw(
    record: Record,
    other: Commanded,
    boards: Sequence[Simulated],
    paste: Paste | None,
    path: Path,
) -> None:
    """Write the picture as a PNG, whole or not at all."""

    def lay_out(figure: Figure) -> None:
        curves, power = _axes(figure)
        _draw_curves(curves, record, other, boards)
        if paste:
            draw_paste(curves, paste)
        curves.legend(loc="lower center", frameon=False, ncols=2, fontsize=9)
        _draw_power(power, record, other)
        _title(figure, curves, record, other)

    folder.put(path.parent, path.name, drawn((WIDTH_IN, HEIGHT_IN), lay_out))


def _axes(figure: Figure) -> tuple[Axes, Axes]:
    grid = figure.add_gridspec(
        2, 1, height_ratios=[3, 1], left=0.075, right=0.98, top=0.93, bottom=0.09, hspace=0.08
    )
    curves = figure.add_subplot(grid[0])
    power = figure.add_subplot(grid[1], sharex=curves)
    return curves, power


def _title(figure: Figure, axes: Axes, record: Record, other: Commanded) -> None:
    text = sentences.OTHER_TITLE.format(name=other.name, record=record.path.parent.name)
    figure.text(axes.get_position().x0, 0.955, text, fontsize=12, fontweight="bold")


def _draw_curves(axes: Axes, record: Record, other: Commanded, boards: Sequence[Simulated]) -> None:
    axes.grid(axis="y", color=PALE, linewidth=0.6)
    axes.tick_params(labelbottom=False, length=0)
    axes.plot(record.time_s, record.sensor_c, color=BLUE, ls="-.", lw=1.6, label="sensor, recorded")
    axes.plot(record.time_s, record.target_c, color=GREY, ls="--", lw=1.2, label="target, recorded")
    label = f"target of {other.name}"
    axes.plot(other.time_s, other.target_c, color=INK, ls=(0, (1, 1)), lw=1.6, label=label)
    for board, (colour, style) in zip(boards, BOARDS, strict=False):
        label = f"board, simulated: {board.name}"
        axes.plot(board.time_s, board.board_c, color=colour, ls=style, lw=2.4, label=label)
    ends = [record.time_s[-1], *(board.time_s[-1] for board in boards)]
    tops = [record.sensor_c, record.target_c, other.target_c, *(board.board_c for board in boards)]
    highest = [float(np.nanmax(one)) for one in tops if np.isfinite(one).any()]
    axes.set(xlim=(0, max(1.0, *ends)), ylim=(0, max(highest, default=0.0) + TOP_MARGIN_K))
    axes.set_ylabel("Temperature, °C")


def _draw_power(axes: Axes, record: Record, other: Commanded) -> None:
    axes.fill_between(record.time_s, 100 * record.duty, step="post", color=ORANGE, alpha=0.45, lw=0)
    axes.step(
        record.time_s, 100 * record.duty, where="post", color=ORANGE, lw=0.9, label="recorded"
    )
    axes.step(other.time_s, 100 * other.duty, where="post", color=INK, lw=1.1, label=other.name)
    axes.set(ylim=(0, 105), ylabel="Power, %", xlabel="Time, s", yticks=(0, 50, 100))
    axes.legend(loc="upper right", frameon=False, ncols=2, fontsize=8)
    axes.grid(axis="y", color=PALE, linewidth=0.6)
