"""A picture of the board with its parts, to point at: side by side, not in their places.

A board's document names its parts and no places. A body is drawn as large as its part says, but
large enough for its name to be read and for a finger to hit it.
"""

from __future__ import annotations

from collections.abc import Mapping
from math import ceil, sqrt
from typing import Any

from heatwright.documents.bench import Bench

LEAST_MM = 7.0
# Of its cell, so that neighbours keep apart.
SHARE = 0.85
SIDES = ("top", "bottom")


def pictures(bench: Bench, states: Mapping[str, str]) -> list[dict[str, Any]]:
    """Each side that carries named parts: outline and parts in mm, with how their joints look."""
    if bench.board is None:
        return []
    found = [_side(bench, side, states) for side in SIDES]
    return [one for one in found if one["parts"]]


def _side(bench: Bench, side: str, states: Mapping[str, str]) -> dict[str, Any]:
    assert bench.board is not None
    sized = [
        (ref.upper(), fitted.part.length_mm or LEAST_MM, fitted.part.width_mm or LEAST_MM)
        for fitted in bench.fitted
        if fitted.side == side
        for ref in fitted.refs
    ]
    width, height = bench.board.length_mm, bench.board.width_mm
    columns = max(1, ceil(sqrt(len(sized) * width / height)))
    rows = max(1, ceil(len(sized) / columns))
    # as many parts as this are readable at this size only
    grown = max(1.0, LEAST_MM / SHARE / min(width / columns, height / rows))
    width, height = grown * width, grown * height
    cell = (width / columns, height / rows)
    parts = [
        _part(sized[at], (at % columns + 0.5, at // columns + 0.5), cell)
        for at in range(len(sized))
    ]
    for part in parts:
        part["state"] = states.get(part["ref"], "")
    return {"side": side, "width": round(width, 2), "height": round(height, 2), "parts": parts}


def _part(
    sized: tuple[str, float, float], middle: tuple[float, float], cell: tuple[float, float]
) -> dict[str, Any]:
    ref, *size = sized
    w, h = (min(max(one, LEAST_MM), SHARE * of) for one, of in zip(size, cell, strict=True))
    x, y = middle[0] * cell[0] - w / 2, middle[1] * cell[1] - h / 2
    return {"ref": ref, "x": round(x, 2), "y": round(y, 2), "w": round(w, 2), "h": round(h, 2)}
