"""Measuring from loaded runs to a written candidate, and all that is said of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

import numpy as np

from heatsim.params import number_fields
from heatwright import sentences
from heatwright.measuring import candidate, coverage, learning, picture, quality
from heatwright.measuring.band import SD_OF_90
from heatwright.measuring.measurement import Measurement
from heatwright.measuring.parameters import RANGE

SCHEMA_VERSION = 1
UNITS = {one.name: one.metadata["unit"] for one in number_fields()}


@dataclass(frozen=True)
class Report:
    """What a measurement came to."""

    source: Path
    picture: Path
    accepted: bool
    learnt: learning.Learnt
    checks: dict[str, dict[str, quality.Score]]
    placings: list[str]
    warnings: list[str]

    def as_json(self) -> dict[str, Any]:
        """The document of ``measure --json``."""
        return {
            "schema_version": SCHEMA_VERSION,
            "source": str(self.source),
            "accepted": self.accepted,
            "picture": str(self.picture),
            "model": self.learnt.level,
            "held_out_rms_c": round(self.learnt.held_out.rms_c, 3),
            "fit_percent": round(self.learnt.held_out.fit_percent, 2),
            "held_out_runs": {
                run: {name: asdict(score) for name, score in scores.items()}
                for run, scores in self.checks.items()
            },
            "placings": self.placings,
            "warnings": self.warnings,
        }

    def lines(self, details: bool = False) -> list[str]:
        """What a person reads."""
        parts = [
            sentences.MEASURED.format(**asdict(self.learnt.held_out)),
            *(_check_line(run, name, s) for run, each in self.checks.items()
              for name, s in each.items()),
            sentences.LEVELS[self.learnt.level],
            *self.placings,
            *self.warnings,
            *(self._details() if details else []),
            sentences.PICTURE.format(path=self.picture),
        ]  # fmt: skip
        kept = sentences.SOURCE_KEPT if self.accepted else sentences.CANDIDATE_KEPT
        return [*parts, kept.format(path=self.source)]

    def _details(self) -> list[str]:
        known = self.learnt.solution.known
        return [
            sentences.INTERVAL.format(
                name=name,
                low=max(low, RANGE[name][0]),
                high=min(high, RANGE[name][1]),
                unit="" if UNITS[name] == "1" else UNITS[name],
            ).rstrip()
            for name, low, high in zip(
                known.names,
                np.exp(known.mean - SD_OF_90 * known.sd),
                np.exp(known.mean + SD_OF_90 * known.sd),
                strict=True,
            )
        ]


def _check_line(run: str, name: str, score: quality.Score) -> str:
    return sentences.CHECKED.format(run=run, name=name, **asdict(score))


def measured(
    kind: str,
    runs: Sequence[Measurement],
    checks: Sequence[Measurement],
    out: Path,
    *,
    accept: bool = False,
    note: str = "",
) -> Report:
    """Learn a source of this kind from the runs and write it, with a picture beside it.

    Raises:
        BadInput: a file can't be read or written; `learning.NoFit`: nothing explains the runs.
    """
    base = candidate.base_for(kind, out)
    learnt = learning.learn(base, runs)
    params = learnt.solution.params
    found = candidate.document(base, learnt.solution, runs, spread=learnt.spread, note=note)
    path = candidate.write(found, out, accept)
    drawn = path.with_suffix(".png")
    picture.draw(params, [*runs, *checks], drawn)
    statements = [f"{run.name}: {text}" for run in (*runs, *checks) for text in run.statements]
    return Report(
        source=path,
        picture=drawn,
        accepted=accept,
        learnt=learnt,
        checks={run.name: quality.scores(params, run) for run in checks},
        placings=[sentences.PLACINGS[one] for one in sorted({run.placing for run in runs})],
        warnings=[*statements, *coverage.not_tried(runs), *coverage.moved(base, runs)],
    )
