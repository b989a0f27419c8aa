"""What was seen on the board, why, and what to do: as lines for a person and as JSON."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any, NamedTuple

from heatwright import sentences
from heatwright.documents.bench import Bench
from heatwright.documents.checks import check
from heatwright.judging import aftercare, causes
from heatwright.judging.causes import Explained, explain
from heatwright.judging.earlier import earlier, repeated
from heatwright.judging.evidence import Known
from heatwright.judging.joints import Seen, seen
from heatwright.judging.verdict import Verdict, started
from heatwright.records.reader import Record


class SeenReport(NamedTuple):
    """Joints and tests as noted, and all that follows from them."""

    seen: Seen
    explained: tuple[Explained, ...]
    iron: str
    touch_up: tuple[str, ...]
    probes: tuple[str, ...]
    before_power: tuple[str, ...]

    def as_json(self) -> dict[str, Any]:
        """The keys that ``judge --json`` adds."""
        return {
            "joints": [joint._asdict() for joint in self.seen.joints],
            "tests": list(self.seen.tests),
            "remarks": list(self.seen.remarks),
            "causes": [_cause_json(one) for one in self.explained],
            "iron": self.iron,
            "touch_up": list(self.touch_up),
            "probes": list(self.probes),
            "before_power": list(self.before_power),
        }

    def lines(self) -> Iterator[str]:
        """What a person reads; nothing before anything was noted."""
        if not any(self.seen):
            return
        yield sentences.NOTED_HEAD
        for remark in self.seen.remarks:
            yield f"  {remark}"
        for joint in self.seen.joints:
            yield sentences.NOTED.format(
                ref=joint.ref,
                state=joint.state.replace("_", " "),
                looks=sentences.JOINT_LOOKS[joint.state],
            )
        for text in self.seen.tests:
            yield sentences.TEST_NOTED.format(text=text)
        if not self.seen.joints:
            return
        yield from causes.lines(self.explained)
        touching = sentences.TOUCH_UP_HEAD.format(iron=self.iron)
        yield from _listed(touching, self.touch_up)
        yield from _listed(sentences.PROBE_HEAD, self.probes)
        yield from _listed(sentences.POWER_HEAD, self.before_power)


def _listed(head: str, items: Sequence[str]) -> Iterator[str]:
    if items:
        yield head
        yield from (f"  {item}" for item in items)


def _cause_json(one: Explained) -> dict[str, Any]:
    return {
        "state": one.state,
        "refs": list(one.refs),
        "ranked": [
            {
                "cause": cause.cause,
                "is_heat": cause.is_heat,
                "weight": round(cause.weight, 3),
                "sentence": cause.sentence,
                "evidence": cause.evidence.strip(),
                "change": cause.change,
            }
            for cause in one.causes
        ],
        "repeated": one.repeated.sentence if one.repeated else None,
    }


def report(run: Path, record: Record, verdict: Verdict, bench: Bench) -> SeenReport:
    """Read the notes of a run's folder and explain them. Raises `BadInput` for broken notes."""
    noted = seen(run)
    known = Known(verdict, check(bench, started(record)), record)
    again = repeated(noted.bad, verdict.peak_board_c, earlier(run, bench.board))
    return SeenReport(
        noted,
        tuple(explain(noted.bad, bench, known, again)),
        aftercare.iron(bench.paste),
        tuple(aftercare.touch_up(noted.bad)),
        tuple(aftercare.probes(bench, noted)),
        tuple(aftercare.before_power(bench)),
    )
