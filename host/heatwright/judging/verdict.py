"""The verdict on a run: one word, one sentence, the measures behind it.

Written only from what the person could know; the truth of a simulated plant is never read.
"""

from __future__ import annotations

from dataclasses import asdict, dataclass, replace
from typing import Any

from heatwright.documents.paste import Paste
from heatwright.judging import wording
from heatwright.judging.board import Board, Unknown, known_board
from heatwright.judging.curves import area_above
from heatwright.judging.measures import RATE_WINDOW_S, measure, unmeasured
from heatwright.judging.windows import Measure, Status
from heatwright.records.reader import Record

SCHEMA_VERSION = 1
# The worst measure decides: what is known to be wrong comes before what is not known.
WORST_FIRST: tuple[Status, ...] = ("fail", "unknown", "warn", "likely_pass", "pass")


@dataclass(frozen=True)
class Verdict:
    """What a run came to; ``board`` is None where its temperature is not known."""

    status: Status
    sentence: str
    notes: tuple[str, ...]
    measures: tuple[Measure, ...]
    paste: Paste
    board: Board | None

    @property
    def board_from(self) -> str | None:
        return self.board.origin if self.board else None

    @property
    def peak_board_c(self) -> float | None:
        return self._value("peak")

    @property
    def time_above_liquidus_s(self) -> float | None:
        return self._value("time_above_liquidus")

    @property
    def heating_factor_k_s(self) -> float | None:
        """The integral of board minus liquidus while above it; informative, judged by no window."""
        if self.board is None:
            return None
        return area_above(self.board.time_s, self.board.board_c, self.paste.above_c)

    def _value(self, name: str) -> float | None:
        return next(m.value for m in self.measures if m.name == name)

    def as_json(self) -> dict[str, Any]:
        """The document of ``judge --json`` and of a run's verdict.json."""
        return {
            "schema_version": SCHEMA_VERSION,
            "verdict": self.status,
            "sentence": self.sentence,
            "notes": list(self.notes),
            "paste": self.paste.name,
            "board_from": self.board_from,
            "peak_board_c": self.peak_board_c,
            "time_above_liquidus_s": self.time_above_liquidus_s,
            "heating_factor_k_s": self.heating_factor_k_s,
            "board_tolerance_k": self.board.tolerance_k if self.board else None,
            "rate_window_s": RATE_WINDOW_S,
            "measures": [asdict(measure) for measure in self.measures],
        }


def judge(record: Record, paste: Paste) -> Verdict:
    """Judge a recorded run against the paste's windows and J-STD-020D's upper ends.

    ``pass`` means that every window holds, and would hold with the board anywhere within its
    tolerance; ``likely_pass`` that it holds as measured only.
    """
    board = known_board(record)
    if isinstance(board, Unknown):
        sentence, advice = wording.unknown_board(board)
        return Verdict("unknown", sentence, advice, tuple(unmeasured(paste)), paste, None)
    return judge_board(board, paste)


def judge_board(board: Board, paste: Paste) -> Verdict:
    """Judge a board's curve, wherever it comes from."""
    found = _with_tolerance(board, paste)
    status = min((m.status for m in found), key=WORST_FIRST.index)
    sentence = wording.headline(status, board, found, paste)
    return Verdict(status, sentence, wording.notes(found), tuple(found), paste, board)


def _with_tolerance(board: Board, paste: Paste) -> list[Measure]:
    """Measures of the curve as measured; a pass that a shift within tolerance undoes is likely."""
    colder, hotter = (
        {m.name: m.status for m in measure(board.time_s, board.board_c + shift_k, paste)}
        for shift_k in (-board.tolerance_k, board.tolerance_k)
    )
    return [
        replace(m, status="likely_pass") if m.status == "pass" and not sure else m
        for m in measure(board.time_s, board.board_c, paste)
        for sure in [all(other.get(m.name, "pass") == "pass" for other in (colder, hotter))]
    ]
