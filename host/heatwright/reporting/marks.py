"""What stands around the lines of a picture: stages, the paste's window, doors, marks and trips."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from heatcore.codes import EVENT_DOOR, EVENT_NAMES, STAGES, TRIP_NAMES
from heatwright import sentences
from heatwright.documents.paste import Paste
from heatwright.records.reader import Event, Record
from heatwright.reporting.palette import BLUE, GREY, PALE, VERMILION, YELLOW

if TYPE_CHECKING:
    from matplotlib.axes import Axes

POINTS_PER_IN = 72
# a stage's name is printed small in less room than this, and left out in still less
WIDE_PT, NARROW_PT = 48.0, 28.0
# between a label and its line, as a share of the time axis
LABEL_GAP = 0.012
SHOWN_EVENTS = {"mark", "unmark", "stop", "not_melted"}


def words(name: object) -> str:
    """A name of the core or a document as a person reads it."""
    return str(name).replace("_", " ")


def draw_stages(axes: Axes, record: Record) -> None:
    """Bands behind the curves, each with its stage's name at the top."""
    starts = np.flatnonzero(np.diff(record.stage, prepend=record.stage[0] - 1))
    ends = [*record.time_s[starts[1:]], record.time_s[-1]]
    low_c, high_c = axes.get_ylim()
    for number, (start, end_s) in enumerate(zip(starts, ends, strict=True)):
        start_s, stage = record.time_s[start], int(record.stage[start])
        if number % 2 == 0:
            axes.axvspan(start_s, end_s, color=PALE, alpha=0.25, lw=0)
        room_pt = (end_s - start_s) / axes.get_xlim()[1] * axes.get_window_extent().width
        room_pt *= POINTS_PER_IN / axes.figure.dpi
        if room_pt > NARROW_PT and 0 <= stage < len(STAGES):
            axes.text(
                (start_s + end_s) / 2,
                high_c - 0.015 * (high_c - low_c),
                words(STAGES[stage]),
                ha="center",
                va="top",
                color=GREY,
                fontsize=9 if room_pt > WIDE_PT else 7,
            )


def draw_paste(axes: Axes, paste: Paste) -> None:
    """The window of the peak and the line of melting."""
    low_c, high_c = paste.window.peak_c
    axes.axhspan(low_c, high_c, color=YELLOW, alpha=0.35, lw=0)
    axes.axhline(paste.above_c, color=GREY, lw=1.1, linestyle=(0, (8, 3)))
    for at_c, text in (
        ((low_c + high_c) / 2, f"peak window {low_c:g} to {high_c:g} °C"),
        (paste.above_c + 5, melts_at(paste)),
    ):
        axes.text(0.008, at_c, text, transform=axes.get_yaxis_transform(), va="center", fontsize=9)


def melts_at(paste: Paste) -> str:
    """What the line of melting is called."""
    return f"{paste.name} melts at {paste.above_c:g} °C"


def draw_events(axes: Axes, events: tuple[Event, ...], from_c: float) -> None:
    """A line from ``from_c`` up and a word for each event that a person cares about."""
    low_c, high_c = axes.get_ylim()
    for event in events:
        text = event_text(event)
        if text is None:
            continue
        colour = VERMILION if event.code in TRIP_NAMES else BLUE
        axes.vlines(event.time_s, from_c, high_c, color=colour, lw=1)
        axes.text(
            event.time_s - LABEL_GAP * axes.get_xlim()[1] / 2,
            high_c - 0.08 * (high_c - low_c),
            text,
            color=colour,
            ha="right",
            va="top",
            fontsize=9,
        )


def event_text(event: Event) -> str | None:
    """What a picture says of an event; None where it says nothing."""
    if event.code in TRIP_NAMES:
        return sentences.SAFETY_STOP.format(what=words(TRIP_NAMES[event.code]))
    if event.code == EVENT_DOOR:
        return sentences.DOOR_OPENED if event.seen else sentences.DOOR_SHUT
    name = EVENT_NAMES.get(event.code)
    return words(name) if name in SHOWN_EVENTS else None
