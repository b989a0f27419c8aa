"""A picture of the board with its parts, to point at: to scale, side by side, not in their places.

A board's document names its parts and no places; a part that states no size is drawn small.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from heatwright.documents.bench import Bench
from heatwright.documents.part import Part

UNKNOWN_MM = 3.0
GAP_MM = 2.5
# A name must be read and a finger must hit it.
LEAST_MM = 7.0
SIDES = ("top", "bottom")


def pictures(bench: Bench, states: Mapping[str, str]) -> list[dict[str, Any]]:
    """Each side that carries named parts: outline and parts in mm, with how their joints look."""
    if bench.board is None:
        return []
    found = [_side(bench, side, states) for side in SIDES]
    return [one for one in found if one["parts"]]


def _side(bench: Bench, side: str, states: Mapping[str, str]) -> dict[str, Any]:
    assert bench.board is not None
    width = bench.board.length_mm
    sized = [
        (ref.upper(), *_size(fitted.part))
        for fitted in bench.fitted
        if fitted.side == side
        for ref in fitted.refs
    ]
    parts, lowest = _laid(sorted(sized, key=lambda one: (-one[2], one[0])), width)
    for part in parts:
        part["state"] = states.get(part["ref"], "")
    return {
        "side": side,
        "width": width,
        "height": max(bench.board.width_mm, lowest + GAP_MM),
        "parts": parts,
    }


def _size(part: Part) -> tuple[float, float]:
    return (
        max(part.length_mm or UNKNOWN_MM, LEAST_MM),
        max(part.width_mm or UNKNOWN_MM, LEAST_MM),
    )


def _laid(
    sized: list[tuple[str, float, float]], width: float
) -> tuple[list[dict[str, Any]], float]:
    """Rows from the left, the tallest first; returns where the last row ends."""
    parts: list[dict[str, Any]] = []
    x = y = GAP_MM
    row = 0.0
    for ref, w, h in sized:
        if x > GAP_MM and x + w + GAP_MM > width:
            x, y, row = GAP_MM, y + row + GAP_MM, 0.0
        parts.append({"ref": ref, "x": round(x, 2), "y": round(y, 2), "w": w, "h": h})
        x, row = x + w + GAP_MM, max(row, h)
    return parts, y + row
