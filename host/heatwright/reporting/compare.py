"""Several runs beside each other: one picture with all curves, and their measures in columns."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from heatwright import sentences
from heatwright.documents.paste import Paste
from heatwright.judging.curves import Floats
from heatwright.judging.kept import kept
from heatwright.judging.verdict import Verdict
from heatwright.judging.wording import amount
from heatwright.records import folder
from heatwright.records.reader import Record, read
from heatwright.reporting.marks import draw_paste, words
from heatwright.reporting.palette import BLUE, GREEN, GREY, INK, ORANGE, PALE, VERMILION
from heatwright.reporting.picture import TOP_MARGIN_K, drawn

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

# Each run a colour and a style of its own, so that a grey print can be read too.
LINES: tuple[tuple[str, Any], ...] = (
    (VERMILION, "-"),
    (BLUE, "--"),
    (GREEN, "-."),
    (ORANGE, (0, (1, 1))),
    (INK, (0, (6, 2, 1, 2, 1, 2))),
    (GREY, (0, (10, 3))),
)
MOST_RUNS = len(LINES)
WIDTH_IN, HEIGHT_IN, ROW_IN = 10.0, 5.6, 0.22


@dataclass(frozen=True)
class Compared:
    """One of the runs; ``verdict`` is None where its folder holds no paste to judge it by."""

    id: str
    record: Record
    paste: Paste | None
    verdict: Verdict | None

    @property
    def curve(self) -> tuple[Floats, Floats, str]:
        """Time, temperature and whose it is: the board where it is known, else the sensor."""
        board = self.verdict.board if self.verdict else None
        if board is not None:
            return board.time_s, board.board_c, "board"
        return self.record.time_s, self.record.sensor_c, "sensor"

    @property
    def values(self) -> dict[str, float]:
        """What was measured of it, by the measure's name; not those of each part."""
        measures = self.verdict.measures if self.verdict else ()
        return {m.name: m.value for m in measures if m.value is not None and m.part is None}

    def as_json(self) -> dict[str, Any]:
        return {
            "id": self.id,
            "record": str(self.record.path.parent),
            "curve_of": self.curve[2],
            "verdict": self.verdict.as_json() if self.verdict else None,
            "trace_sha256": self.record.trace_sha256,
        }


def load(place: Path) -> Compared:
    """Read and judge one run's folder, by the paste in it. Raises `BadInput`."""
    record = read(place)
    if not (place / folder.PASTE).is_file():
        return Compared(place.name, record, None, None)
    own = kept(place)
    return Compared(place.name, record, own.bench.paste, own.judge(record))


def caption(run: Compared) -> str:
    """One line on a run: its id, whose curve it is, verdict, peak and time above liquidus."""
    status = words(run.verdict.status) if run.verdict else sentences.NO_VERDICT_YET
    parts = [run.id, f"{run.curve[2]}: {status}"]
    if "peak" in run.values:
        parts.append(f"peak {amount(run.values['peak'], '°C')}")
    if "time_above_liquidus" in run.values:
        seconds = amount(run.values["time_above_liquidus"], "s")
        parts.append(sentences.COMPARED_ABOVE.format(seconds=seconds))
    return "   ".join(parts)


def draw(runs: Sequence[Compared], path: Path) -> None:
    """Write the overlay as a PNG, whole or not at all."""
    height_in = HEIGHT_IN + ROW_IN * len(runs)
    data = drawn((WIDTH_IN, height_in), lambda figure: _lay_out(figure, runs, height_in))
    folder.put(path.parent, path.name, data)


def _lay_out(figure: Figure, runs: Sequence[Compared], height_in: float) -> None:
    below = (0.65 + ROW_IN * (len(runs) + 1)) / height_in
    axes = figure.add_axes((0.075, below, 0.905, 0.96 - below))
    axes.grid(axis="y", color=PALE, linewidth=0.6)
    axes.set(xlabel="Time, s", ylabel="Temperature, °C")
    axes.set_xlim(0, max(float(run.record.time_s[-1]) for run in runs) or 1.0)
    axes.set_ylim(0, max(_highest_c(run) for run in runs) + TOP_MARGIN_K)
    pastes = {run.paste.name: run.paste for run in runs if run.paste}
    if len(pastes) == 1:
        # a window is drawn only where it is everyone's
        draw_paste(axes, *pastes.values())
    _draw_curves(axes, runs)
    axes.legend(
        loc="upper left",
        bbox_to_anchor=(0, -0.55 / (height_in * (0.96 - below))),
        frameon=False,
        fontsize=9,
        handlelength=4,
        borderaxespad=0,
    )


def _highest_c(run: Compared) -> float:
    _, value_c, _ = run.curve
    known = value_c[np.isfinite(value_c)]
    return float(known.max()) if known.size else 0.0


def _draw_curves(axes: Axes, runs: Sequence[Compared]) -> None:
    for run, (colour, style) in zip(runs, LINES, strict=False):
        time_s, value_c, _ = run.curve
        axes.plot(time_s, value_c, color=colour, ls=style, lw=2, label=caption(run))


def table(runs: Sequence[Compared]) -> list[tuple[str, list[str]]]:
    """Rows of measures with one cell a run; a measure that a run lacks is a dash."""
    names = dict.fromkeys(name for run in runs for name in run.values)
    units = {m.name: m.unit for run in runs if run.verdict for m in run.verdict.measures}
    return [
        (
            words(name),
            [amount(run.values[name], units[name]) if name in run.values else "-" for run in runs],
        )
        for name in names
    ]
