"""The verdict on a run: one word, one sentence, the measures behind it.

Written only from what the person could know; the truth of a simulated plant is never read.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import asdict, dataclass, replace
from typing import Any

from heatwright.documents.bench import Bench
from heatwright.documents.checks import Finding, handling
from heatwright.documents.paste import Paste
from heatwright.documents.source import Source
from heatwright.judging import heat, wording
from heatwright.judging.board import Board, Unknown, known_board
from heatwright.judging.curves import Floats
from heatwright.judging.ending import CutBy, cut_by
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
        return self._named("peak").value

    @property
    def peak_board_low_c(self) -> float | None:
        """The lowest peak that the board may have had, for all that is known."""
        return self._named("peak").value_low

    @property
    def peak_board_high_c(self) -> float | None:
        """The highest peak that the board may have had, for all that is known."""
        return self._named("peak").value_high

    @property
    def time_above_liquidus_s(self) -> float | None:
        return self._named("time_above_liquidus").value

    @property
    def heating_factor_k_s(self) -> float | None:
        """The integral of board minus liquidus while above it; informative, judged by no window."""
        return heat.heating_factor_k_s(*self._molten()) if self.board else None

    @property
    def intermetallic_growth(self) -> float | None:
        """Layer grown while molten over that of one minute at 230 °C; informative."""
        return heat.intermetallic_growth(*self._molten()) if self.board else None

    def _molten(self) -> tuple[Floats, Floats, float]:
        assert self.board is not None
        return self.board.time_s, self.board.board_c, self.paste.above_c

    def _named(self, name: str) -> Measure:
        return next(m for m in self.measures if m.name == name)

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
            "peak_board_low_c": self.peak_board_low_c,
            "peak_board_high_c": self.peak_board_high_c,
            "time_above_liquidus_s": self.time_above_liquidus_s,
            "heating_factor_k_s": self.heating_factor_k_s,
            "intermetallic_growth": self.intermetallic_growth,
            "board_tolerance_k": self.board.tolerance_k if self.board else None,
            "rate_window_s": RATE_WINDOW_S,
            "measures": [asdict(measure) for measure in self.measures],
        }


def judge(record: Record, bench: Bench, source: Source | None = None) -> Verdict:
    """Judge a recorded run against its paste's windows, J-STD-020D and the limits of the parts.

    ``pass`` means that every window holds, and would hold with the board anywhere within its
    uncertainty; ``likely_pass`` that it holds as measured or estimated only. With the source's
    file a board that no bead touched is estimated, where that tells enough.
    """
    findings = [one for one in handling(bench, started(record)) if one.level != "note"]
    board = known_board(record, bench, source)
    if isinstance(board, Unknown):
        sentence, advice = wording.unknown_board(board)
        notes = (
            *wording.cut_short(cut_by(record)),
            *advice,
            *wording.of_documents(bench, findings),
        )
        return Verdict(
            "unknown", sentence, notes, tuple(unmeasured(bench.paste)), bench.paste, None
        )
    return judge_board(board, bench, findings, cut_by(record))


def started(record: Record) -> dt.datetime:
    """When the run began; a record that does not say is taken to be of today."""
    text = record.header.get("started")
    try:
        return dt.datetime.fromisoformat(str(text))
    except ValueError:
        return dt.datetime.now()


def judge_board(
    board: Board, bench: Bench, findings: Sequence[Finding] = (), cut: CutBy | None = None
) -> Verdict:
    """Judge a board's curve, wherever it comes from; ``cut``: what ended its run early."""
    found = _carried(board, bench)
    worst: list[Status] = [m.status for m in found]
    # a damp part or lead in bismuth is no matter of the curve, yet no board with it just passes
    worst += ["warn"] if findings else []
    status = min(worst, key=WORST_FIRST.index)
    sentence = wording.headline(status, board, found, bench, findings)
    notes = (*wording.notes(found, cut), *wording.of_documents(bench, findings))
    return Verdict(status, sentence, notes, tuple(found), bench.paste, board)


def _carried(board: Board, bench: Bench) -> list[Measure]:
    """Each measure with the range that the board's uncertainty gives it; a pass that does not
    hold on every curve that the board may have had is a likely one."""
    curves = [
        {m.key: m for m in measure(board.time_s, other_c, bench.paste, bench.fitted)}
        for other_c in board.others
    ]
    return [
        _ranged(own, [other[own.key] for other in curves if own.key in other])
        for own in measure(board.time_s, board.board_c, bench.paste, bench.fitted)
    ]


def _ranged(own: Measure, others: Sequence[Measure]) -> Measure:
    values = [m.value for m in (own, *others) if m.value is not None]
    sure = all(other.status == "pass" for other in others)
    return replace(
        own,
        status="likely_pass" if own.status == "pass" and not sure else own.status,
        value_low=min(values, default=None),
        value_high=max(values, default=None),
    )
