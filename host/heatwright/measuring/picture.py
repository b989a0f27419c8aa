"""The picture of a fit: measured against predicted, what was kept back, and what is left over."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from heatsim.params import PlantParams
from heatwright import sentences
from heatwright.measuring import quality
from heatwright.measuring.measurement import BOARD_BEAD, NODE_OF, SENSOR, Bools, Measurement
from heatwright.records import folder
from heatwright.reporting.palette import BLUE, GREY, INK, ORANGE, PALE, VERMILION
from heatwright.reporting.picture import drawn

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

COLOURS = {BOARD_BEAD: VERMILION, SENSOR: BLUE}
WIDTH_IN, HEIGHT_IN = 8.0, 6.2


def draw(params: PlantParams, runs: Sequence[Measurement], path: Path) -> None:
    """Write the picture of a source's prediction of these runs as a PNG, whole or not at all."""
    size_in = WIDTH_IN * min(len(runs), 3), HEIGHT_IN
    data = drawn(size_in, lambda figure: _lay_out(figure, params, runs[:3], size_in[0]))
    folder.put(path.parent, path.name, data)


def _lay_out(
    figure: Figure, params: PlantParams, runs: Sequence[Measurement], width_in: float
) -> None:
    axes = figure.subplots(
        3, len(runs), sharex="col", squeeze=False, gridspec_kw={"height_ratios": [5, 2, 1]}
    )
    for column, run in enumerate(runs):
        curves, left_over, power = axes[:, column]
        _draw_curves(curves, params, run)
        _draw_residuals(left_over, params, run)
        _draw_power(power, run)
        for one in (curves, left_over):
            _shade(one, run, quality.kept_back(run))
        curves.legend(loc="upper left", frameon=False)
    figure.subplots_adjust(left=0.85 / width_in, right=0.97, top=0.93, bottom=0.09, hspace=0.12)


def _draw_curves(axes: Axes, params: PlantParams, run: Measurement) -> None:
    states = quality.predict(params, run)
    for name, values in run.readings.items():
        label = quality.NAMES[name]
        axes.plot(run.time_s, values, color=COLOURS[name], lw=2.4, alpha=0.55, label=label)
        predicted_c = states[:, NODE_OF[name]]
        axes.plot(run.time_s, predicted_c, color=INK, ls="--", lw=1.1, label=f"{label}, predicted")
    axes.set(ylabel="Temperature, °C", title=run.name, xlim=(0, run.time_s[-1]))
    axes.grid(axis="y", color=PALE, linewidth=0.6)


def _draw_residuals(axes: Axes, params: PlantParams, run: Measurement) -> None:
    axes.axhline(0.0, color=GREY, lw=0.8)
    for name, off in quality.residuals(params, run).items():
        axes.plot(run.time_s, off, color=COLOURS[name], lw=1.2)
    axes.set(ylabel="Measured -\npredicted, K")
    axes.grid(axis="y", color=PALE, linewidth=0.6)


def _draw_power(axes: Axes, run: Measurement) -> None:
    axes.fill_between(
        run.time_s[:-1], 100 * run.duty, step="post", color=ORANGE, alpha=0.55, lw=0, label="power"
    )
    axes.step(
        run.time_s[:-1], 100 * run.door, where="post", color=INK, lw=1.0, ls=":", label="door"
    )
    axes.set(ylim=(0, 108), ylabel="%", xlabel="Time, s", yticks=(0, 100))
    axes.legend(loc="upper right", frameon=False, fontsize=8, ncols=2)


def _shade(axes: Axes, run: Measurement, unseen: Bools) -> None:
    edges = np.flatnonzero(np.diff(np.concatenate([[0], unseen.astype(int), [0]])))
    for number, (begin, end) in enumerate(edges.reshape(-1, 2)):
        label = sentences.KEPT_BACK if number == 0 else None
        until_s = run.time_s[min(end, len(run.time_s) - 1)]
        axes.axvspan(run.time_s[begin], until_s, color=PALE, alpha=0.35, lw=0, label=label)
