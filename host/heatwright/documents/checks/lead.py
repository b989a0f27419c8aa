"""Lead and bismuth: together with tin they melt at 95-98 °C (ternary eutectic; NIST)."""

from __future__ import annotations

from collections.abc import Iterator

from heatwright import sentences
from heatwright.documents import alloys
from heatwright.documents.bench import Bench
from heatwright.documents.checks.finding import Finding, Level


def findings(bench: Bench) -> Iterator[Finding]:
    """Refused unless the board's file accepts it; a finish that nobody knows is a warning."""
    if not bench.paste.contains_bismuth:
        return
    accepted = bench.board is not None and bench.board.accept_low_melting
    level: Level = "warn" if accepted else "refuse"
    for what in _leaded(bench):
        text = sentences.LEAD_MEETS_BISMUTH.format(what=what, paste=bench.paste.name)
        yield Finding(
            level,
            "lead_with_bismuth",
            f"{text}; {sentences.LEAD_ACCEPTED}" if accepted else text + ".",
        )
    if bench.board and bench.board.finish == "unknown" and not accepted:
        text = sentences.FINISH_UNKNOWN.format(paste=bench.paste.name)
        yield Finding("warn", "finish_unknown", text)


def _leaded(bench: Bench) -> Iterator[str]:
    for fitted in bench.fitted:
        if fitted.part.contains_lead:
            yield sentences.LEAD_OF_PART.format(name=fitted.name)
    if bench.board and bench.board.has_lead_finish:
        yield sentences.LEAD_OF_FINISH
    wire = bench.board.touch_up_alloy if bench.board else None
    if wire and "Pb" in alloys.shares(wire):
        yield sentences.LEAD_OF_WIRE
