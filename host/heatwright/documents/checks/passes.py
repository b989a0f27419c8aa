"""How often each part has been through the heat, and which side of a board goes first."""

from __future__ import annotations

from collections.abc import Iterator

from heatwright import sentences
from heatwright.documents.bench import Bench, Fitted
from heatwright.documents.checks.finding import Finding

# 30 g on a square inch of pad: surface tension carries as much upside down (a rule of the trade)
LOAD_MAX_MG_PER_MM2 = 46.0
SIDES = ("top", "bottom")


def findings(bench: Bench) -> Iterator[Finding]:
    """Passes of each part, parts too heavy for their pads, the order of two sides."""
    done = bench.board.passes_done if bench.board else 0
    for fitted in bench.fitted:
        yield from _passes(fitted, done + 1)
    two_sides = {fitted.side for fitted in bench.fitted} == set(SIDES)
    for fitted in bench.fitted:
        load = fitted.part.load_mg_per_mm2
        if load is not None and not load <= LOAD_MAX_MG_PER_MM2:
            text = sentences.HEAVY.format(
                name=fitted.name, load=f"{load:.0f}", limit=LOAD_MAX_MG_PER_MM2
            )
            yield Finding("warn" if two_sides else "note", "too_heavy", text)
    if two_sides:
        yield _order(bench)


def _passes(fitted: Fitted, now: int) -> Iterator[Finding]:
    most = fitted.part.passes_max
    words = {"name": fitted.name, "now": now, "most": most}
    if now > most:
        yield Finding("warn", "passes_over", sentences.PASSES_OVER.format(**words))
    elif now == most:
        yield Finding("note", "passes_last", sentences.PASSES_LAST.format(**words))


def _order(bench: Bench) -> Finding:
    """The side whose heaviest part (for its pads) is the lighter one goes first."""
    unknown = [f.name for f in bench.fitted if f.part.load_mg_per_mm2 is None]
    if unknown:
        text = sentences.SIDE_UNKNOWN.format(names=", ".join(unknown))
        return Finding("note", "side_order", text)
    first, last = sorted(SIDES, key=lambda side: _heaviest(bench, side))
    return Finding("note", "side_order", sentences.SIDE_FIRST.format(first=first, last=last))


def _heaviest(bench: Bench, side: str) -> float:
    return max(f.part.load_mg_per_mm2 or 0.0 for f in bench.fitted if f.side == side)
