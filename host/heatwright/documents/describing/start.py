"""Three answers suffice to begin: the label's melting point, the board's size, what worries."""

from __future__ import annotations

from dataclasses import replace
from typing import NamedTuple

from heatwright import sentences
from heatwright.documents.board import Board
from heatwright.documents.describing import board as boards
from heatwright.documents.describing import paste as pastes
from heatwright.documents.describing.answers import NotAnAnswer
from heatwright.documents.describing.interview import Answers
from heatwright.documents.describing.placing import Placed
from heatwright.documents.describing.questions import Question
from heatwright.documents.paste import Paste


def _read_alloy(text: str) -> str:
    """An alloy whose windows are known: without them three answers are not enough."""
    alloy = pastes.read_melting(text)
    if pastes.shipped_for(alloy) is None:
        raise NotAnAnswer(sentences.NO_WINDOWS.format(alloy=alloy))
    return alloy


QUESTIONS = (replace(pastes.QUESTIONS[0], read=_read_alloy), boards.SIZE, boards.PARTS)


class Begun(NamedTuple):
    """The documents that three answers give."""

    paste: Paste
    board: Board
    placed: Placed


def build(answers: Answers) -> Begun:
    """Paste, board and parts, all else by default. Raises `BadInput`."""
    paste = pastes.build(_filled(answers, pastes.QUESTIONS), "paste.toml")
    return Begun(paste, *boards.build(_filled(answers, boards.QUESTIONS), "board.toml"))


def _filled(answers: Answers, questions: tuple[Question, ...]) -> Answers:
    """These answers, and the default of every other question, marked assumed."""
    filled = Answers()
    for question in questions:
        if question.key in answers.values:
            filled.values[question.key] = answers.values[question.key]
        elif question.asked_when(filled.values):
            default = question.default(filled.values)
            if default is not None:
                filled.values[question.key] = default
                filled.assumed.add(question.key)
    return filled
