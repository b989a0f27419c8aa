"""From runs to a source: how much of the model the data supports, the fit, what it is worth."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from heatwright import sentences
from heatwright.documents import Source
from heatwright.documents.source import Spread
from heatwright.errors import EXIT_VERDICT, HeatwrightError
from heatwright.measuring import quality
from heatwright.measuring.fitting import Solution, solve
from heatwright.measuring.measurement import BOARD_BEAD, SENSOR, Bools, Measurement
from heatwright.measuring.parameters import Prior, of_kind

# A larger model must predict what it has not seen by so much better to be taken.
WORTH = 0.95
# A source of its kind is predicted at least so well; else it is none, and little is taken as known.
OF_ITS_KIND_PERCENT = 90.0
# Below this the file would do more harm than the kind's own numbers.
USELESS_PERCENT, USELESS_K = 80.0, 12.0
# A fit as poor as this, or none of the kind's, and the other way round better: swapped columns.
SUSPECT_K = 3.0


class NoFit(HeatwrightError):
    """Nothing that could be learnt explains these runs; no file is touched."""

    exit_code = EXIT_VERDICT


@dataclass(frozen=True)
class Learnt:
    """A candidate source's model, what is known of its numbers, and how well it predicts."""

    level: str
    solution: Solution
    held_out: quality.Score
    spread: Spread


def learn(source: Source, runs: Sequence[Measurement]) -> Learnt:
    """Fit a source of this kind to the runs; ``source`` is the document of the kind.

    Raises:
        NoFit: the best fit predicts what it was not shown too badly to be of use.
    """
    held = [quality.kept_back(run) for run in runs]
    seen = [~unseen for unseen in held]
    level, prior, score, spread = _supported(source, runs, seen)
    suspect = level == "loose" or score.rms_c > SUSPECT_K
    swapped = suspect and any(_is_swapped(source, run, score) for run in runs)
    if swapped or score.fit_percent < USELESS_PERCENT or score.rms_c > USELESS_K:
        raise NoFit(_no_fit(source, score, swapped))
    return Learnt(level, solve(prior, runs), score, spread)


def _supported(
    source: Source, runs: Sequence[Measurement], seen: Sequence[Bools]
) -> tuple[str, Prior, quality.Score, Spread]:
    """The smallest model that predicts the kept-back stretches as well as any."""
    held = [~one for one in seen]
    best: tuple[str, Prior, quality.Score, Spread] | None = None
    for level, prior in _levels(source, runs):
        if best and level == "loose" and best[2].fit_percent >= OF_ITS_KIND_PERCENT:
            break
        params = solve(prior, runs, seen, starts=1).params
        score = quality.main_score(params, runs, held)
        if best is None or score.rms_c < WORTH * best[2].rms_c:
            best = (level, prior, score, quality.spread(params, runs, held, source.spread))
    if best is None:
        raise AssertionError("there is always a first level")
    return best


def _levels(source: Source, runs: Sequence[Measurement]) -> list[tuple[str, Prior]]:
    """Where nobody read the board, whatever may move it stays an unknown."""
    few = [("few", of_kind(source, few=True))] if _reads_board(runs) else []
    return [*few, ("whole", of_kind(source)), ("loose", of_kind(source, loose=True))]


def _reads_board(runs: Sequence[Measurement]) -> bool:
    return all(BOARD_BEAD in run.readings for run in runs)


def _no_fit(source: Source, score: quality.Score, swapped: bool) -> str:
    cure = sentences.SWAPPED_CURE.format(one="sensor_c", other="board_c") if swapped else ""
    return sentences.NO_FIT.format(
        kind=source.kind,
        rms=score.rms_c,
        fit=score.fit_percent,
        worst=abs(score.worst_k),
        at=score.worst_at_s,
        cure=cure or sentences.NO_FIT_CURE,
    )


def _is_swapped(source: Source, run: Measurement, score: quality.Score) -> bool:
    return set(run.readings) == {SENSOR, BOARD_BEAD} and _swapped_rms(source, run) < score.rms_c


def _swapped_rms(source: Source, run: Measurement) -> float:
    other = replace(
        run, readings={SENSOR: run.readings[BOARD_BEAD], BOARD_BEAD: run.readings[SENSOR]}
    )
    params = solve(of_kind(source, few=True), [other], starts=1).params
    return quality.scores(params, other)["board"].rms_c
