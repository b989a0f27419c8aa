"""What the documents alone can tell before heat: each rule a function from a bench to findings."""

from __future__ import annotations

import datetime as dt

from heatwright import sentences
from heatwright.documents.bench import Bench
from heatwright.documents.checks import lead, moisture, passes, printing
from heatwright.documents.checks.finding import Finding
from heatwright.errors import BadInput, Fault

__all__ = ["Finding", "check", "handling", "refuse_lead"]


def check(bench: Bench, now: dt.datetime) -> list[Finding]:
    """All findings, the gravest first; ``now`` is when the board is to see heat."""
    found = [*handling(bench, now), *printing.findings(bench, now)]
    return sorted(found, key=lambda one: ("refuse", "warn", "note").index(one.level))


def handling(bench: Bench, now: dt.datetime) -> list[Finding]:
    """Lead, moisture and passes: what a verdict repeats after the run."""
    return [*lead.findings(bench), *moisture.findings(bench, now), *passes.findings(bench)]


def refuse_lead(bench: Bench) -> None:
    """Raise `BadInput` where lead would meet a bismuth paste and nobody accepted it."""
    refused = [one for one in lead.findings(bench) if one.level == "refuse"]
    if refused:
        cure = sentences.LEAD_REFUSED
        raise BadInput(*(Fault(one.text, "board and parts", cure=cure) for one in refused))
