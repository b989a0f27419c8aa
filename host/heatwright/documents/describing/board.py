"""The board: its size first, then what its maker and its layout know."""

from __future__ import annotations

import re
from typing import Any

from heatwright import sentences
from heatwright.documents.board import Board
from heatwright.documents.describing.answers import NotAnAnswer
from heatwright.documents.describing.building import document, nested, origins
from heatwright.documents.describing.interview import Answers
from heatwright.documents.describing.placing import Placed, place, read_line
from heatwright.documents.describing.questions import Question, Values, fixed, of

# most boards made to order; the thickness of a stencil for small parts (common practice)
THICKNESS_MM, STENCIL_MM = 1.6, 0.12


def read_size(text: str) -> tuple[float, ...]:
    """``70 x 45 x 1.6`` or ``70 x 45``: longer side, shorter side, thickness; in mm."""
    numbers = [float(n.replace(",", ".")) for n in re.findall(r"\d+(?:[.,]\d+)?", text)]
    inches = re.search(r"\bin(?:ch(?:es)?)?\b|\"", text)
    if inches or len(numbers) not in (2, 3):
        raise NotAnAnswer(sentences.NOT_A_SIZE.format(text=text))
    sides = sorted(numbers[:2], reverse=True)
    thickness_mm = numbers[2] if len(numbers) == 3 else THICKNESS_MM
    # the schema's ranges, so that the answer is refused here and not at the end
    if not (sides[1] > 0.0 and sides[0] <= 600.0 and 0.1 <= thickness_mm <= 6.4):
        raise NotAnAnswer(sentences.NOT_A_SIZE.format(text=text))
    return (*sides, thickness_mm) if len(numbers) == 3 else tuple(sides)


def _on_stencil(values: Values) -> bool:
    return bool(values.get("printing.method") == "stencil")


SIZE = Question("size_mm", sentences.ASK_SIZE, sentences.ASK_SIZE_EXPECTED, read_size, needed=True)
PARTS = Question("parts", sentences.ASK_PARTS, sentences.ASK_PARTS_EXPECTED, read_line, fixed([]))
QUESTIONS = (
    of(Board, "name", sentences.ASK_BOARD_NAME, fixed("Board")),
    SIZE,
    of(Board, "layers", sentences.ASK_LAYERS, fixed(2)),
    of(Board, "copper_um", sentences.ASK_COPPER, fixed(35.0)),
    of(Board, "copper_percent", sentences.ASK_COPPER_SHARE, fixed(50.0)),
    of(Board, "finish", sentences.ASK_FINISH, fixed("unknown")),
    of(Board, "printing.method", sentences.ASK_PRINTING, fixed("stencil")),
    of(
        Board,
        "printing.thickness_mm",
        sentences.ASK_STENCIL,
        fixed(STENCIL_MM),
        asked_when=_on_stencil,
    ),
    of(Board, "passes_done", sentences.ASK_PASSES_DONE, fixed(0)),
    of(Board, "touch_up_alloy", sentences.ASK_TOUCH_UP),
    PARTS,
)


def build(answers: Answers, name: str) -> tuple[Board, Placed]:
    """The board of these answers, and the part files that it names. Raises `BadInput`."""
    values = dict(answers.values)
    assumed = dict.fromkeys(answers.assumed - {"size_mm", "parts"}, sentences.DEFAULT_OF_BOARD)
    _spread_size(values, assumed)
    placed = place(values.pop("parts"))
    data = nested(values) | {"placements": placed.placements}
    data["origin"] = origins(assumed, values) | _finish(answers)
    return document(Board, data, name), placed


def _spread_size(values: dict[str, Any], assumed: dict[str, str]) -> None:
    sides = values.pop("size_mm")
    values["length_mm"], values["width_mm"] = sides[:2]
    values["thickness_mm"] = sides[2] if len(sides) == 3 else THICKNESS_MM
    if len(sides) == 2:
        assumed["thickness_mm"] = sentences.DEFAULT_OF_BOARD


def _finish(answers: Answers) -> dict[str, dict[str, str]]:
    """The finish is a word, not a number, yet whether lead is there rests on it."""
    if "finish" not in answers.assumed:
        return {}
    return {"finish": {"status": "assumed", "source": sentences.DEFAULT_OF_BOARD}}
