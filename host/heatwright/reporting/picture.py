"""The picture of a run: target, sensor, board, power and stages; one panel, or two side by side.

Each line has a colour and a style of its own, so that a grey print can be read too.
"""

from __future__ import annotations

import io
import textwrap
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from heatwright import sentences
from heatwright.judging.board import ON_THE_BOARD
from heatwright.judging.curves import Floats, time_above
from heatwright.judging.verdict import Verdict
from heatwright.judging.wording import amount
from heatwright.records import folder
from heatwright.records.reader import Record
from heatwright.reporting.marks import LABEL_GAP, draw_events, draw_paste, draw_stages, words
from heatwright.reporting.palette import BLUE, GREY, INK, ORANGE, PALE, STATUS_COLOURS, VERMILION

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

WIDTH_IN, HEIGHT_IN, DOTS_PER_IN = 10.0, 6.2, 150
TOP_MARGIN_K = 45.0
# Without these the hour of writing would stand in the file.
UNDATED: dict[str, Any] = {"svg": {"Date": None}}
STYLE: dict[Any, Any] = {
    "font.size": 10,
    # a name with two dollars in it is no formula
    "text.parse_math": False,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "axes.edgecolor": GREY,
    "axes.labelcolor": INK,
    "xtick.color": INK,
    "ytick.color": INK,
}


@dataclass(frozen=True)
class Panel:
    """One run in a picture; ``title`` stands above it, in bold.

    ``beside_truth``: the simulated board is drawn beside the one that is known.
    """

    record: Record
    verdict: Verdict
    title: str
    beside_truth: bool = False


@dataclass(frozen=True)
class BoardLine:
    """The board's line in a panel: measured where it was, else the simulated truth, named so."""

    time_s: Floats
    board_c: Floats
    label: str
    style: str
    band_c: tuple[Floats, Floats] | None = None


def draw(record: Record, verdict: Verdict, path: Path) -> None:
    """Write the picture of one run as a PNG, whole or not at all."""
    folder.put(path.parent, path.name, image([panel(record, verdict)], "png"))


def draw_pair(left: Panel, right: Panel, path: Path) -> None:
    """Write one picture of two runs on the same axes, side by side."""
    folder.put(path.parent, path.name, image([left, right], "png"))


def panel(record: Record, verdict: Verdict) -> Panel:
    """One run under its own name."""
    return Panel(record, verdict, str(record.header.get("name") or record.path.parent.name))


def image(panels: list[Panel], kind: str) -> bytes:
    """The picture as a file of this kind (png, svg); the same run gives the same bytes."""
    wide = WIDTH_IN if len(panels) == 1 else 1.5 * WIDTH_IN
    return drawn((wide, HEIGHT_IN), lambda figure: lay_out(figure, panels), kind)


def drawn(
    size_in: tuple[float, float], lay_out: Callable[[Figure], None], kind: str = "png"
) -> bytes:
    """A figure as the bytes of a file, in the style of all our pictures."""
    # matplotlib takes 0.7 s to import, more than most commands take to run
    import matplotlib

    with matplotlib.rc_context({**STYLE, "svg.hashsalt": "heatwright"}):
        figure = blank(size_in)
        lay_out(figure)
        written = io.BytesIO()
        figure.savefig(written, format=kind, metadata=UNDATED.get(kind))
    return written.getvalue()


def blank(size_in: tuple[float, float]) -> Figure:
    """An empty white figure, of no window and no global state."""
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    figure = Figure(figsize=size_in, dpi=DOTS_PER_IN, facecolor="white")
    FigureCanvasAgg(figure)
    return figure


def lay_out(figure: Figure, panels: list[Panel]) -> None:
    """Draw one or two runs into a figure."""
    grid = figure.add_gridspec(
        2,
        len(panels),
        height_ratios=[5, 1],
        left=0.075 if len(panels) == 1 else 0.05,
        right=0.98,
        top=0.83,
        bottom=0.09,
        hspace=0.08,
        wspace=0.12,
    )
    end_s = max(1.0, *(_last_s(panel.record) for panel in panels))
    top_c = max(_highest_c(panel) for panel in panels) + TOP_MARGIN_K
    for column, panel in enumerate(panels):
        curves = figure.add_subplot(grid[0, column])
        power = figure.add_subplot(grid[1, column], sharex=curves)
        curves.set(xlim=(0, end_s), ylim=(0, top_c), ylabel="Temperature, °C")
        _draw_curves(curves, panel)
        _draw_power(power, panel.record)
        _head(figure, curves, panel, 122 if len(panels) == 1 else 90)
        _foot(figure, curves, panel)


def _last_s(record: Record) -> float:
    return max([float(record.time_s[-1]), *(event.time_s for event in record.events)])


def _highest_c(panel: Panel) -> float:
    board = board_line(panel.record, panel.verdict)
    drawn = [panel.record.sensor_c, panel.record.target_c, *([board.board_c] if board else [])]
    known = [float(np.nanmax(line)) for line in drawn if np.isfinite(line).any()]
    return max([*known, panel.verdict.paste.window.peak_c.high])


def board_line(record: Record, verdict: Verdict) -> BoardLine | None:
    """The board as far as it is known, else as the simulation had it; None of a real one."""
    known, truth = verdict.board, record.truth
    if known is not None:
        ends = np.min(known.others, axis=0), np.max(known.others, axis=0)
        label = sentences.BOARD_LINE.format(origin=known.origin)
        return BoardLine(known.time_s, known.board_c, label, "-", ends)
    if truth is not None:
        return BoardLine(truth.time_s, truth.board_c, sentences.UNSEEN_BOARD, ":")
    return None


def _head(figure: Figure, axes: Axes, panel: Panel, width: int) -> None:
    left = axes.get_position().x0
    badge = figure.text(
        left + 0.004,
        0.955,
        words(panel.verdict.status),
        fontsize=11,
        fontweight="bold",
        color=INK if panel.verdict.status == "warn" else "white",
        va="center",
        bbox={
            "boxstyle": "round,pad=0.35",
            "facecolor": STATUS_COLOURS[panel.verdict.status],
            "edgecolor": "none",
        },
    )
    axes.annotate(
        panel.title,
        (1, 0.5),
        xycoords=badge,
        xytext=(13, 0),
        textcoords="offset points",
        fontsize=13,
        fontweight="bold",
        va="center",
        annotation_clip=False,
    )
    sentence = "\n".join(textwrap.wrap(panel.verdict.sentence, width))
    figure.text(left, 0.925, sentence, fontsize=10, va="top", linespacing=1.3)


def _foot(figure: Figure, axes: Axes, panel: Panel) -> None:
    header = panel.record.header
    started = str(header.get("started", ""))[:16].replace("T", " ")
    known = [header.get("on"), panel.verdict.paste.name, started]
    text = " · ".join(str(value) for value in known if value)
    figure.text(axes.get_position().x1, 0.015, text, fontsize=8, color=GREY, ha="right")


def _draw_curves(axes: Axes, panel: Panel) -> None:
    record = panel.record
    axes.grid(axis="y", color=PALE, linewidth=0.6)
    axes.tick_params(labelbottom=False, length=0)
    draw_stages(axes, record)
    draw_paste(axes, panel.verdict.paste)
    # on top: a run that follows its target well would hide it
    axes.plot(record.time_s, record.target_c, color=INK, ls="--", lw=1.2, label="target", zorder=3)
    if panel.verdict.board is None or record.header.get("placing") not in ON_THE_BOARD:
        placing = words(record.header.get("placing", "not_known"))
        label = "sensor" if placing == "not known" else f"sensor ({placing})"
        axes.plot(record.time_s, record.sensor_c, color=BLUE, ls="-.", lw=1.6, label=label)
    board = board_line(panel.record, panel.verdict)
    if board:
        _draw_board(axes, board, panel)
    if panel.beside_truth and record.truth and panel.verdict.board:
        truth = record.truth
        axes.plot(
            truth.time_s, truth.board_c, color=INK, ls=":", lw=1.6, label=sentences.UNSEEN_BOARD
        )
    draw_events(axes, record.events, panel.verdict.paste.above_c)
    axes.legend(loc="lower center", frameon=False)


def _draw_board(axes: Axes, board: BoardLine, panel: Panel) -> None:
    axes.plot(
        board.time_s,
        board.board_c,
        color=VERMILION,
        linestyle=board.style,
        lw=2.6,
        label=board.label,
    )
    above_c = panel.verdict.paste.above_c
    if board.band_c:
        axes.fill_between(board.time_s, *board.band_c, color=VERMILION, alpha=0.12, lw=0)
    axes.fill_between(
        board.time_s,
        board.board_c,
        above_c,
        where=(board.board_c > above_c).tolist(),
        color=VERMILION,
        alpha=0.18,
        lw=0,
        interpolate=True,
    )
    top = int(np.argmax(board.board_c))
    peak_s, peak_c = float(board.time_s[top]), float(board.board_c[top])
    axes.plot(peak_s, peak_c, "o", color=VERMILION, ms=6)
    axes.annotate(
        _peak_text(board, peak_c, above_c),
        (peak_s, peak_c),
        # left of the peak and half way down: under the hump, where no line crosses
        xytext=(peak_s - LABEL_GAP * axes.get_xlim()[1], peak_c / 2),
        ha="right",
        va="center",
        color=VERMILION,
        fontweight="bold",
        linespacing=1.4,
    )
    axes.vlines(peak_s, peak_c / 2, peak_c, color=VERMILION, lw=0.8)


def _peak_text(board: BoardLine, peak_c: float, above_c: float) -> str:
    peak = amount(peak_c, "°C")
    if peak_c < above_c:
        return sentences.PEAK_SHORT.format(peak=peak, short=amount(above_c - peak_c, "°C"))
    above = amount(time_above(board.time_s, board.board_c, above_c), "s")
    return sentences.PEAK_MOLTEN.format(peak=peak, above=above, liquidus=f"{above_c:g} °C")


def _draw_power(axes: Axes, record: Record) -> None:
    axes.fill_between(record.time_s, 100 * record.duty, step="post", color=ORANGE, alpha=0.55, lw=0)
    axes.step(record.time_s, 100 * record.duty, where="post", color=ORANGE, lw=0.9)
    axes.set(ylim=(0, 105), ylabel="Power, %", xlabel="Time, s", yticks=(0, 50, 100))
    axes.grid(axis="y", color=PALE, linewidth=0.6)
    axes.tick_params(length=2)
