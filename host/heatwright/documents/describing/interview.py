"""Asks one question at a time and keeps each answer at once, so that Ctrl-C loses nothing."""

from __future__ import annotations

import difflib
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from heatwright import sentences
from heatwright.documents.describing.answers import NotAnAnswer
from heatwright.documents.describing.questions import Question
from heatwright.documents.writing import write_beside
from heatwright.errors import BadInput, Fault

Ask = Callable[[str], str]
Tell = Callable[[str], None]
# Looks at the values so far and at the key just answered; a sentence where they clash.
Check = Callable[[dict[str, Any], str], str]


@dataclass
class Answers:
    """Values by key, and which of them are defaults that nobody confirmed."""

    values: dict[str, Any] = field(default_factory=dict)
    assumed: set[str] = field(default_factory=set)
    typed: dict[str, str] = field(default_factory=dict)


def no_check(_: dict[str, Any], __: str) -> str:
    return ""


def interview(
    questions: Sequence[Question],
    ask: Ask,
    tell: Tell,
    draft: Path,
    check: Check = no_check,
    known: dict[str, str] | None = None,
) -> Answers:
    """Ask what is not known yet. Each answer is written to ``draft`` before the next question."""
    found = Answers(typed=dict(known or {}))
    for question in questions:
        if question.asked_when(found.values):
            _settle(question, found, ask, tell, check)
            write_beside(draft, draft_text(found.typed))
    return found


def _settle(question: Question, found: Answers, ask: Ask, tell: Tell, check: Check) -> None:
    text = found.typed.get(question.key)
    while True:
        text = ask(question.asking(found.values)) if text is None else text
        problem = _take(question, found, text, check)
        if not problem:
            return
        tell(problem)
        text = None


def _take(question: Question, found: Answers, text: str, check: Check) -> str:
    """Take an answer; returns what is wrong with it, or nothing. Empty takes the default."""
    key = question.key
    if not text.strip():
        return _take_default(question, found)
    try:
        value = question.read(text)
    except NotAnAnswer as error:
        return str(error)
    problem = check(found.values | {key: value}, key)
    if not problem:
        found.values[key] = value
        found.typed[key] = text.strip()
        found.assumed.discard(key)
    return problem


def _take_default(question: Question, found: Answers) -> str:
    default = question.default(found.values)
    if default is None and question.needed:
        return sentences.ANSWER_NEEDED.format(expected=question.expected)
    found.typed.pop(question.key, None)
    if default is not None:
        found.values[question.key] = default
        found.assumed.add(question.key)
    return ""


def from_text(
    questions: Sequence[Question], text: str, name: str, check: Check = no_check
) -> Answers:
    """Take all answers from lines ``key = answer``. Raises `BadInput` with all that is wrong."""
    lines, faults = read_draft(text, name)
    faults += _unknown_keys(questions, lines, name)
    found = Answers()
    missing = False
    for question in questions:
        number, typed = lines.get(question.key, (0, ""))
        # what is left out may have a default that rests on a needed answer that is not there
        if bool(typed) if missing else question.asked_when(found.values):
            problem = _take(question, found, typed, check)
            if problem:
                faults.append(_bad_answer(question, typed, problem, name, number))
                missing = missing or question.needed
    if faults:
        raise BadInput(*faults)
    return found


def _bad_answer(question: Question, typed: str, problem: str, name: str, number: int) -> Fault:
    where = f"{name}:{number}: {question.key}" if number else f"{name}: {question.key}"
    return Fault(problem, where, typed, question.expected)


def read_draft(text: str, name: str) -> tuple[dict[str, tuple[int, str]], list[Fault]]:
    """Lines ``key = answer`` with their numbers; empty lines and ``#`` lines are left out."""
    lines: dict[str, tuple[int, str]] = {}
    faults = []
    for number, line in enumerate(text.splitlines(), start=1):
        key, equals, answer = line.partition("=")
        if not line.strip() or line.lstrip().startswith("#"):
            continue
        if not equals or not key.strip():
            where = f"{name}:{number}"
            faults.append(Fault(sentences.NOT_KEY_ANSWER, where, line, "key = answer"))
        else:
            lines[key.strip()] = (number, answer.strip().strip('"'))
    return lines, faults


def _unknown_keys(
    questions: Sequence[Question], lines: dict[str, tuple[int, str]], name: str
) -> list[Fault]:
    keys = [question.key for question in questions]
    faults = []
    for key, (number, _) in lines.items():
        if key not in keys:
            close = difflib.get_close_matches(key, keys, n=1, cutoff=0.5)
            cure = sentences.DID_YOU_MEAN.format(name=close[0]) if close else ""
            where = f"{name}:{number}"
            faults.append(Fault(sentences.UNKNOWN_KEY, where, key, ", ".join(keys), cure))
    return faults


def draft_text(typed: dict[str, str]) -> str:
    """Answers as lines that ``--answers`` takes."""
    lines = [f"{key} = {answer}" for key, answer in typed.items()]
    return "\n".join([sentences.DRAFT_HEAD, *lines]) + "\n"
