"""Why a joint came out badly: causes ranked from curve, documents and earlier runs.

The weights say how often a cause stands behind a sight, heat or not heat (practice of the trade,
judgement): they order a list, they are no probabilities.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from heatwright import sentences
from heatwright.documents.bench import Bench, Fitted
from heatwright.judging.earlier import Repeated
from heatwright.judging.evidence import OF_CURVE, Known, weigh
from heatwright.judging.joints import Joint

CAUSES: dict[str, dict[str, float]] = {
    "unmelted": {"peak_low": 4, "above_short": 2, "cold_spot": 2, "copper_pour": 1,
                 "door_early": 1, "sensor_moved": 2},
    "cold": {"above_short": 3, "peak_low": 3, "cold_spot": 2, "copper_pour": 1, "moved": 1,
             "paste_old": 1, "door_early": 1, "sensor_moved": 1},
    "bridge": {"print_smeared": 4, "too_much_paste": 4, "part_pressed": 3, "heating_fast": 1.5,
               "soak_long": 0.5, "misplaced": 1.5, "centre_pad_over": 0.5},
    "open": {"too_little_paste": 3, "centre_pad_over": 2, "peak_low": 1, "copper_pour": 1,
             "dirty_pads": 1.5, "misplaced": 1},
    "non_wetting": {"dirty_pads": 4, "paste_old": 2, "soak_long": 1.5, "slow_start": 1.5,
                    "peak_low": 1},
    "dewetting": {"dirty_pads": 3, "above_long": 2, "peak_high": 2},
    "insufficient": {"too_little_paste": 4, "paste_old": 1, "print_smeared": 1},
    "tombstone": {"copper_pour": 3, "misplaced": 2.5, "soak_short": 1.5, "heating_fast": 1.5,
                  "too_little_paste": 1},
    "shifted": {"moved": 3, "misplaced": 3, "too_much_paste": 1.5, "heating_fast": 0.5},
    "floating": {"centre_pad_over": 4, "too_much_paste": 2},
    "solder_ball": {"heating_fast": 2, "print_smeared": 3, "paste_old": 2.5, "soak_short": 1,
                    "part_pressed": 1.5},
    "graping": {"soak_long": 2.5, "slow_start": 2.5, "paste_old": 2.5, "too_little_paste": 1.5},
    "charred": {"peak_high": 4, "above_long": 2, "sensor_moved": 2},
    "melted_plastic": {"part_hot": 4, "peak_high": 2, "above_long": 1.5, "sensor_moved": 1.5},
    "cracked": {"damp_part": 3, "cooling_fast": 1.5, "heating_fast": 1.5, "part_hot": 1},
    "wrong_part": {"misplaced": 1},
}  # fmt: skip
# Causes that more or less heat would change: the same joint under different heat speaks against.
HEAT = frozenset({*OF_CURVE, "cold_spot", "door_early", "part_hot"})
PRINT = frozenset({"print_smeared", "too_much_paste", "too_little_paste", "centre_pad_over"})
REPEATED_FOR, REPEATED_AGAINST = 3.0, 0.2
LISTED = 4


class Ranked(NamedTuple):
    """One cause of a bad joint; the larger ``weight`` is, the likelier."""

    cause: str
    weight: float
    evidence: str

    @property
    def is_heat(self) -> bool:
        return self.cause in HEAT

    @property
    def sentence(self) -> str:
        return sentences.CAUSES[self.cause][0]

    @property
    def change(self) -> str:
        return sentences.CAUSES[self.cause][1]


class Explained(NamedTuple):
    """Joints that look alike, why they may, and whether earlier runs say that heat is not it."""

    state: str
    refs: tuple[str, ...]
    causes: tuple[Ranked, ...]
    repeated: Repeated | None


def explain(
    joints: Sequence[Joint], bench: Bench, known: Known, repeated: Sequence[Repeated]
) -> list[Explained]:
    """The causes of each kind of bad joint, likeliest first."""
    alike: dict[str, list[Joint]] = {}
    for joint in joints:
        if joint.state in CAUSES:
            alike.setdefault(joint.state, []).append(joint)
    return [_explain(state, found, bench, known, repeated) for state, found in alike.items()]


def _explain(
    state: str,
    joints: Sequence[Joint],
    bench: Bench,
    known: Known,
    repeated: Sequence[Repeated],
) -> Explained:
    again = next((one for one in repeated if one.joint in joints), None)
    parts = [part_of(joint.ref, bench) for joint in joints]
    ranked = [_rank(cause, weight, parts, known, again) for cause, weight in CAUSES[state].items()]
    ranked.sort(key=lambda one: -one.weight)
    return Explained(state, tuple(j.ref for j in joints), tuple(ranked[:LISTED]), again)


def part_of(ref: str, bench: Bench) -> Fitted | None:
    """The part with this name on the board, or None."""
    return next((f for f in bench.fitted if ref in [r.upper() for r in f.refs]), None)


def _rank(
    cause: str,
    weight: float,
    parts: Sequence[Fitted | None],
    known: Known,
    again: Repeated | None,
) -> Ranked:
    # one part for which there is evidence is enough
    found = max((weigh(cause, part, known) for part in parts), key=lambda one: one.factor)
    weight *= found.factor
    text = found.text
    if again:
        weight *= REPEATED_AGAINST if cause in HEAT else REPEATED_FOR if cause in PRINT else 1.0
        if cause in PRINT and not text:
            said = sentences.SAME_AGAIN_SHORT.format(count=again.times)
            text = sentences.FOR_THAT.format(text=said)
    return Ranked(cause, weight, text)


def lines(explained: Sequence[Explained]) -> Iterator[str]:
    """What a person reads."""
    for one in explained:
        state = one.state.replace("_", " ")
        yield sentences.CAUSES_HEAD.format(state=state, refs=", ".join(one.refs))
        for number, cause in enumerate(one.causes, start=1):
            yield sentences.CAUSE_LINE.format(
                number=number,
                cause=cause.sentence,
                evidence=cause.evidence,
                change=cause.change,
            )
        if one.repeated:
            yield "  " + one.repeated.sentence
