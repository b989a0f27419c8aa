"""The list to go through before heat, filled from the documents."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from typing import NamedTuple

from heatwright import sentences
from heatwright.documents.bench import Bench, Fitted
from heatwright.documents.checks import check
from heatwright.documents.source import Source


class Section(NamedTuple):
    """A heading and what to tick under it."""

    head: str
    items: tuple[str, ...]


def checklist(bench: Bench, source: Source | None, now: dt.datetime) -> list[Section]:
    """All sections that have something in them, in the order of the work."""
    sections = {
        "documents": [one.text for one in check(bench, now)],
        "paste": [item.format(paste=bench.paste.name) for item in sentences.CHECKLIST["paste"]],
        "print": [*_printing(bench), *_witness(bench)],
        "place": [*sentences.CHECKLIST["place"], *_worries(bench)],
        "oven": _oven(source),
        "hand": list(sentences.CHECKLIST["hand"]),
    }
    heads = sentences.CHECKLIST_HEADS
    return [Section(heads[key], tuple(items)) for key, items in sections.items() if items]


def title(bench: Bench) -> str:
    board = bench.board.name if bench.board else sentences.A_BOARD
    return sentences.CHECKLIST_TITLE.format(board=board, paste=bench.paste.name)


def foot(bench: Bench) -> str:
    """What the run is to reach."""
    window = bench.paste.window
    return sentences.CHECKLIST_FOOT.format(
        low=window.peak_c.low,
        high=window.peak_c.high,
        above=bench.paste.above_c,
        from_s=window.above_liquidus_s.low,
        to_s=window.above_liquidus_s.high,
    )


def _printing(bench: Bench) -> list[str]:
    printing = bench.board.printing if bench.board else None
    if printing and printing.method == "syringe":
        return list(sentences.CHECKLIST["print_syringe"])
    thickness_mm = printing.thickness_mm if printing else None
    stencil = (
        sentences.STENCIL_OF.format(thickness=thickness_mm)
        if thickness_mm
        else sentences.STENCIL_UNKNOWN
    )
    return [item.format(stencil=stencil) for item in sentences.CHECKLIST["print_stencil"]]


def _witness(bench: Bench) -> list[str]:
    return [item.format(largest=largest(bench)) for item in sentences.CHECKLIST["witness"]]


def largest(bench: Bench) -> str:
    """The part that melts last: the heaviest, by mass where noted, else by volume."""
    if not bench.fitted:
        return sentences.LARGEST_UNKNOWN
    return max(bench.fitted, key=_size).name


def _size(fitted: Fitted) -> float:
    # plastic and metal together weigh some 2 mg a cubic millimetre
    return fitted.part.mass_mg or 2.0 * fitted.part.body_mm3


def _worries(bench: Bench) -> Iterator[str]:
    """A line for each part that heat can spoil, with its limits."""
    for fitted in bench.fitted:
        limits = fitted.part.limits
        words = {
            "name": fitted.name,
            "peak": limits.peak_c,
            "near": limits.near_peak_s,
            "source": limits.source,
        }
        for kind in ("fragile", *fitted.part.fragile) if fitted.part.fragile else ():
            yield from (item.format(**words) for item in sentences.CHECKLIST.get(kind, ()))


def _oven(source: Source | None) -> list[str]:
    places = sentences.PLACES_UNKNOWN
    if source:
        places = sentences.PLACES.format(
            rack=source.rack, board=source.board_place, sensor=source.sensor_mount
        )
    return [item.format(places=places) for item in sentences.CHECKLIST["oven"]]
