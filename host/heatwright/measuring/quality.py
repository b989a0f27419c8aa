"""How well a source predicts a run: RMS, fit, worst; on what it has not seen."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from heatsim.params import PlantParams
from heatwright.documents.source import Residual, Spread
from heatwright.judging.curves import rms
from heatwright.measuring.fitting import simulate
from heatwright.measuring.measurement import BOARD_BEAD, NODE_OF, SENSOR, Bools, Measurement
from heatwright.records.units import Floats

# Every third of twelve stretches is kept back: the model runs through it and is not shown it.
STRETCHES, KEPT_BACK = 12, 3
# Stages of a measuring run by the board's temperature, as those of a soldering run would be.
STAGE_EDGES_C = (("preheat", 150.0), ("soak", 200.0), ("ramp_up", 217.0), ("reflow", 1000.0))
FEWEST_READINGS = 40
NAMES = {BOARD_BEAD: "board", SENSOR: "sensor"}


@dataclass(frozen=True)
class Score:
    """Prediction against readings: RMS and worst in K, and the share of the movement explained."""

    rms_c: float
    fit_percent: float
    worst_k: float
    worst_at_s: float


def predict(params: PlantParams, run: Measurement) -> Floats:
    """Every node through this run, C, on nominal volts: (steps + 1, nodes)."""
    return simulate(params, run.inputs, run.start_c)


def residuals(params: PlantParams, run: Measurement) -> dict[str, Floats]:
    """Reading minus prediction of each channel, K; NaN where there is no reading."""
    states = predict(params, run)
    return {name: values - states[:, NODE_OF[name]] for name, values in run.readings.items()}


def scores(params: PlantParams, run: Measurement, unseen: Bools | None = None) -> dict[str, Score]:
    """A score each for `board` and `sensor`, as far as the run has them; ``unseen``: only there."""
    found = residuals(params, run)
    return {
        NAMES[name]: _score(run.time_s, values, found[name], unseen)
        for name, values in run.readings.items()
    }


def _score(time_s: Floats, values: Floats, off: Floats, unseen: Bools | None) -> Score:
    """``fit_percent`` is 100 (1 - |error| / |reading - its mean|), the trade's own fit figure."""
    at = np.flatnonzero(np.isfinite(off) & (True if unseen is None else unseen))
    error, reading = off[at], values[at]
    moved = float(np.linalg.norm(reading - reading.mean()))
    worst = int(np.argmax(np.abs(error)))
    return Score(
        rms_c=rms(error),
        fit_percent=100.0 * (1.0 - float(np.linalg.norm(error)) / max(moved, 1e-9)),
        worst_k=float(error[worst]),
        worst_at_s=float(time_s[at[worst]]),
    )


def kept_back(run: Measurement) -> Bools:
    """The grid points of the stretches that are not shown to the fit."""
    stretch = np.minimum(run.time_s / run.time_s[-1] * STRETCHES, STRETCHES - 1).astype(int)
    found: Bools = stretch % KEPT_BACK == KEPT_BACK - 1
    return found


def main_score(params: PlantParams, runs: Sequence[Measurement], held: Sequence[Bools]) -> Score:
    """The worst run's score of the channel that matters most, on what was kept back."""
    each = [
        scores(params, run, unseen)[NAMES[run.channel]]
        for run, unseen in zip(runs, held, strict=True)
    ]
    return max(each, key=lambda score: score.rms_c)


def spread(
    params: PlantParams, runs: Sequence[Measurement], held: Sequence[Bools], before: Spread
) -> Spread:
    """Mean and standard deviation of what was not explained, per stage, where it was kept back.

    Stages of which too little was seen, and a board that nobody read, keep what was known before.
    """
    found: dict[str, list[float]] = {name: [] for name in Spread.model_fields}
    for run, unseen in zip(runs, held, strict=True):
        if BOARD_BEAD in run.readings:
            off = residuals(params, run)[BOARD_BEAD]
            for stage, value in zip(stages(run, unseen), off[unseen], strict=True):
                found[stage].append(float(value))
    return before.model_copy(update={k: r for k, v in found.items() if (r := _residual(v))})


def stages(run: Measurement, unseen: Bools) -> list[str]:
    """The stage of each kept-back point, by the board's reading and whether its peak is past."""
    board_c = run.readings[BOARD_BEAD]
    peak = int(np.nanargmax(board_c))
    return [
        "ramp_down" if at > peak else next(n for n, edge in STAGE_EDGES_C if not value > edge)
        for at, value in zip(np.flatnonzero(unseen), board_c[unseen], strict=True)
    ]


def _residual(values: list[float]) -> Residual | None:
    known = np.array(values)[np.isfinite(values)]
    if len(known) < FEWEST_READINGS:
        return None
    mean_k = float(np.clip(known.mean(), -100.0, 100.0))
    return Residual(mean_k=round(mean_k, 2), sd_k=round(float(min(known.std(), 100.0)), 2))
