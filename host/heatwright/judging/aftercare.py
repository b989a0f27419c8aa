"""After the run: what to touch up and how, what to probe, what to check before first power."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from heatwright import sentences
from heatwright.documents.bench import Bench, Fitted
from heatwright.documents.paste import Paste
from heatwright.judging.joints import Joint, Seen

HIDDEN = ("qfn", "dfn", "son", "bga", "lga", "leadless")


def iron(paste: Paste) -> str:
    """Tip and wire for this paste's alloy."""
    kind = "bismuth" if paste.contains_bismuth else "lead" if paste.contains_lead else "lead_free"
    return f"{sentences.IRON[kind]} {sentences.IRON_SOURCE}"


def touch_up(joints: Sequence[Joint]) -> list[str]:
    """How to mend each bad joint, in the order in which they were noted."""
    return [
        sentences.TOUCH_UP[one.state].format(ref=one.ref)
        for one in joints
        if one.state in sentences.TOUCH_UP
    ]


def probes(bench: Bench, seen: Seen) -> list[str]:
    """What to measure at joints that nobody can see: hidden by their package, or noted so."""
    hidden = {joint.ref for joint in seen.joints if joint.state == "not_visible"}
    found = []
    for fitted in bench.fitted:
        refs = [ref for ref in fitted.refs if is_hidden(fitted) or ref.upper() in hidden]
        hidden -= {ref.upper() for ref in refs}
        found += [line for ref in refs for line in _probes(ref, pins(fitted))]
    return found + [line for ref in sorted(hidden) for line in _probes(ref, None)]


def is_hidden(fitted: Fitted) -> bool:
    return any(sign in fitted.part.package.casefold() for sign in HIDDEN)


def pins(fitted: Fitted) -> int | None:
    """The number of pins that a package's name ends in, as in QFN-24."""
    found = re.search(r"(?<!\d)(\d{1,3})\b", fitted.part.package)
    return int(found[1]) if found else None


def _probes(ref: str, count: int | None) -> Iterator[str]:
    pairs = (
        sentences.PROBE_ALL_PAIRS.format(last=count)
        if count and count > 2
        else sentences.PROBE_SOME_PAIRS
    )
    yield sentences.PROBE_SHORTS.format(ref=ref, pairs=pairs)
    yield sentences.PROBE_DIODE.format(ref=ref)


def before_power(bench: Bench) -> list[str]:
    """What to look at before the board sees a supply."""
    polar = [
        ref
        for fitted in bench.fitted
        if "electrolytic" in fitted.part.fragile
        for ref in fitted.refs
    ]
    named = f" ({', '.join(polar)})" if polar else ""
    return [line.format(polar=named) for line in sentences.BEFORE_POWER]
