"""From measures to the sentences a person reads first; the words themselves are in sentences.py."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from heatwright import sentences
from heatwright.documents import unit_guess
from heatwright.documents.base import Document
from heatwright.documents.bench import Bench
from heatwright.documents.checks import Finding
from heatwright.documents.paste import Paste
from heatwright.judging import part_wording
from heatwright.judging.board import Board, Unknown
from heatwright.judging.ending import CutBy
from heatwright.judging.windows import Measure, Status

DIGITS = {"°C": 0, "s": 0, "°C/s": 2}
# Heat that was too much stays too much, however the run ended.
HARM = frozenset(
    ("peak", "time_above_liquidus", "part_time_above_liquidus", "part_peak", "part_near_peak")
)


def amount(value: float, unit: str, finer: int = 0) -> str:
    """A value with its unit, rounded as a person needs it; ``finer`` adds digits."""
    return f"{value:.{DIGITS[unit] + finer}f} {unit}"


def window(measure: Measure) -> str:
    """The window of a measure: both ends, one end alone, or nothing."""
    if measure.low is None:
        return "" if measure.high is None else f"at most {measure.high:g} {measure.unit}"
    if measure.high is None:
        return f"at least {measure.low:g} {measure.unit}"
    return f"{measure.low:g} to {measure.high:g} {measure.unit}"


def headline(
    status: Status,
    board: Board,
    measures: Sequence[Measure],
    bench: Bench,
    findings: Sequence[Finding] = (),
) -> str:
    """The one sentence that opens the verdict."""
    named = {m.name: m for m in measures if m.part is None}
    words = _words(named, board, bench.paste)
    peak_c = named["peak"].value or 0.0
    if status == "fail" and peak_c < bench.paste.above_c:
        short = amount(bench.paste.above_c - peak_c, "°C")
        return sentences.VERDICT_UNMELTED.format(short=short, **words)
    if status == "unknown":
        return sentences.VERDICT_UNFINISHED[board.origin].format(**words)
    if bench.fitted:
        return _with_parts(status, measures, bench, findings)
    return _without_parts(status, measures, words, findings)


def _words(named: dict[str, Measure], board: Board, paste: Paste) -> dict[str, str]:
    return {
        "paste": paste.name,
        "peak": amount(named["peak"].value or 0.0, "°C"),
        "liquidus": f"{paste.above_c:g} °C",
        "above": amount(named["time_above_liquidus"].value or 0.0, "s"),
        "last": amount(float(board.board_c[-1]), "°C"),
    }


def _with_parts(
    status: Status, measures: Sequence[Measure], bench: Bench, findings: Sequence[Finding]
) -> str:
    """``Melted everywhere, microphone safe, connector 4 °C from its limit.``"""
    melted = part_wording.melted(measures, bench.paste)
    said = [melted, *part_wording.states(measures, bench.fitted)]
    rest = [m for m in measures if not (m.part and m.name == "part_peak")]
    worst = next((m for m in rest if m.status == status), None)
    but = _problem(worst) if worst and status in ("warn", "fail") else ""
    if not but and status == "warn" and findings:
        but = _first_of(findings)
    return sentences.SAID_OF_PARTS.format(said=", ".join(said), but=but and f", but {but}")


def _first_of(findings: Sequence[Finding]) -> str:
    """A finding's first sentence, made to stand inside another."""
    text = findings[0].text.partition(". ")[0].rstrip(".")
    return f"{text[0].lower()}{text[1:]}" if text[1:2].islower() else text


def _without_parts(
    status: Status,
    measures: Sequence[Measure],
    words: dict[str, str],
    findings: Sequence[Finding],
) -> str:
    melted = sentences.MELTED.format(**words)
    worst = next((m for m in measures if m.status == status), None)
    if worst is None:
        return sentences.VERDICT_WARN.format(melted=melted, problem=_first_of(findings))
    template = {
        "pass": sentences.VERDICT_PASS,
        "likely_pass": sentences.VERDICT_LIKELY,
        "warn": sentences.VERDICT_WARN,
        "fail": sentences.VERDICT_FAIL,
    }[status]
    return template.format(
        melted=melted, problem=_problem(worst), label=_label(worst).rstrip(","), **words
    )


def _label(measure: Measure) -> str:
    return sentences.LABELS[measure.name].format(part=measure.part)


def _problem(measure: Measure) -> str:
    """What is wrong with a measure, in numbers; empty where it lies inside its window."""
    bound = measure.low if measure.is_low else measure.high
    if measure.value is None or measure.margin is None or bound is None or measure.margin >= 0:
        return ""
    # less than one whole degree or second outside would read "0 °C over"
    finer = 1 if -measure.margin < 1 and DIGITS[measure.unit] == 0 else 0
    template = sentences.TOO_LOW if measure.is_low else sentences.TOO_HIGH
    return template.format(
        label=_label(measure),
        value=amount(measure.value, measure.unit, finer),
        by=amount(-measure.margin, measure.unit, finer),
        bound=f"{bound:g} {measure.unit}",
    )


def notes(measures: Sequence[Measure], cut: CutBy | None = None) -> tuple[str, ...]:
    """For each measure outside its window: by how much, what to look for, what to do otherwise.

    Of a run that was ``cut`` only what harm its heat did: the rest is no fault of the plan.
    """
    amiss = [m for m in measures if m.status in ("warn", "fail") and (not cut or _is_harm(m))]
    return (*cut_short(cut), *(_note(m, cut) for m in amiss if _problem(m)))


def cut_short(cut: CutBy | None) -> tuple[str, ...]:
    """That the run was ended early, where it was."""
    return (sentences.CUT_BY[cut],) if cut else ()


def _is_harm(measure: Measure) -> bool:
    return measure.name in HARM and not measure.is_low


def _note(measure: Measure, cut: CutBy | None) -> str:
    problem, key = _problem(measure), (measure.name, measure.is_low)
    said = [f"{problem[0].upper()}{problem[1:]}.", sentences.CONSEQUENCES.get(key, "")]
    if not cut:
        said.append(sentences.NEXT_TIME.get(key, ""))
    return " ".join(part for part in said if part)


def of_documents(bench: Bench, findings: Sequence[Finding]) -> tuple[str, ...]:
    """What the documents have to say after the run: parts kept badly, numbers that were assumed."""
    return (*(one.text for one in findings), *_pass_done(bench), *_assumed(bench))


def _pass_done(bench: Bench) -> Iterator[str]:
    """Passes are counted in the board's file, which belongs to the person."""
    if bench.board:
        yield sentences.PASS_DONE.format(done=bench.board.passes_done + 1)


def _assumed(bench: Bench) -> Iterator[str]:
    documents: dict[str, Document] = {bench.paste.name: bench.paste}
    if bench.board:
        documents[bench.board.name] = bench.board
    documents |= {fitted.name: fitted.part for fitted in bench.fitted}
    said = [
        f"{name}: {', '.join(keys)}" for name, one in documents.items() if (keys := _guessed(one))
    ]
    if said:
        yield sentences.ASSUMED_NUMBERS.format(said="; ".join(said))


def _guessed(document: Document) -> list[str]:
    """The keys of a document whose numbers were assumed, without their units."""
    keys = [key for key, origin in document.origin.items() if origin.status == "assumed"]
    return [key.removesuffix(unit_guess.suffix_of(key)).replace("_", " ") for key in keys]


def unknown_board(why: Unknown) -> tuple[str, tuple[str, ...]]:
    """Why the board is not known, and what to do about it."""
    sentence = sentences.BOARD_NOT_KNOWN[why.reason].format(
        at_s=amount(why.at_s or 0.0, "s"),
        for_s=amount(why.for_s or 0.0, "s"),
        low=amount(why.low_c or 0.0, "°C"),
        high=amount(why.high_c or 0.0, "°C"),
    )
    return sentence, sentences.BOARD_ADVICE[why.reason]
