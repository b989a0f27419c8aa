"""From measures to the sentences a person reads first; the words themselves are in sentences.py."""

from __future__ import annotations

from collections.abc import Sequence

from heatwright import sentences
from heatwright.documents.paste import Paste
from heatwright.judging.board import Board, Unknown
from heatwright.judging.windows import Measure, Status

DIGITS = {"°C": 0, "s": 0, "°C/s": 2}


def amount(value: float, unit: str, finer: int = 0) -> str:
    """A value with its unit, rounded as a person needs it; ``finer`` adds digits."""
    return f"{value:.{DIGITS[unit] + finer}f} {unit}"


def headline(status: Status, board: Board, measures: Sequence[Measure], paste: Paste) -> str:
    """The one sentence that opens the verdict."""
    named = {m.name: m for m in measures}
    peak_c = named["peak"].value or 0.0
    words = {
        "paste": paste.name,
        "peak": amount(peak_c, "°C"),
        "liquidus": f"{paste.above_c:g} °C",
        "above": amount(named["time_above_liquidus"].value or 0.0, "s"),
        "last": amount(float(board.board_c[-1]), "°C"),
    }
    if status == "fail" and peak_c < paste.above_c:
        short = amount(paste.above_c - peak_c, "°C")
        return sentences.VERDICT_UNMELTED.format(short=short, **words)
    worst = _worst(status, measures)
    melted = sentences.MELTED.format(**words)
    template = {
        "pass": sentences.VERDICT_PASS,
        "likely_pass": sentences.VERDICT_LIKELY,
        "warn": sentences.VERDICT_WARN,
        "fail": sentences.VERDICT_FAIL,
        "unknown": sentences.VERDICT_UNFINISHED,
    }[status]
    label = sentences.LABELS[worst.name].rstrip(",")
    return template.format(melted=melted, problem=_problem(worst), label=label, **words)


def _worst(status: Status, measures: Sequence[Measure]) -> Measure:
    """The first measure that has the verdict's status: measures stand in order of weight."""
    return next(m for m in measures if m.status == status)


def _problem(measure: Measure) -> str:
    """What is wrong with a measure, in numbers; empty where it lies inside its window."""
    bound = measure.low if measure.is_low else measure.high
    if measure.value is None or measure.margin is None or bound is None or measure.margin >= 0:
        return ""
    # less than one whole degree or second outside would read "0 °C over"
    finer = 1 if -measure.margin < 1 and DIGITS[measure.unit] == 0 else 0
    template = sentences.TOO_LOW if measure.is_low else sentences.TOO_HIGH
    return template.format(
        label=sentences.LABELS[measure.name],
        value=amount(measure.value, measure.unit, finer),
        by=amount(-measure.margin, measure.unit, finer),
        bound=f"{bound:g} {measure.unit}",
    )


def notes(measures: Sequence[Measure]) -> tuple[str, ...]:
    """For each measure outside its window: by how much, and what to look for on the board."""
    return tuple(
        f"{problem[0].upper()}{problem[1:]}. "
        f"{sentences.CONSEQUENCES.get((measure.name, measure.is_low), '')}".rstrip()
        for measure in measures
        if measure.status in ("warn", "fail") and (problem := _problem(measure))
    )


def unknown_board(why: Unknown) -> tuple[str, tuple[str, ...]]:
    """Why the board is not known, and what to do about it."""
    sentence = sentences.BOARD_NOT_KNOWN[why.reason].format(
        at_s=amount(why.at_s or 0.0, "s"), for_s=amount(why.for_s or 0.0, "s")
    )
    return sentence, sentences.BOARD_ADVICE[why.reason]
