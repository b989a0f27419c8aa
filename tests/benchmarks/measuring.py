"""How well a source is known after one run, and after melt marks, on plants that no model equals.

Counts are small by default (a few minutes); ``make campaign`` runs all.
"""

from __future__ import annotations

import time
from dataclasses import replace
from typing import NamedTuple

import numpy as np

from heatwright.documents import load_source
from heatwright.measuring import band, candidate, learning, marking, quality
from heatwright.measuring.measurement import BOARD_BEAD, SENSOR, Measurement
from measuring_made import BOARD, measuring_run, melt_seen, soldering_run, workshop

Row = tuple[str, float, str, str]
KINDS = ("toaster", "convection", "drawer", "hot-plate", "sand", "hot-air")
OVENS = ("toaster", "convection", "drawer")
SOURCES, MARKED = 6, 8


class Told(NamedTuple):
    """The board's peak as told for a production run, against the truth."""

    error_k: float
    inside: bool


def figures(sources: int = SOURCES, marked: int = MARKED) -> list[Row]:
    """Rows of name, value, unit and bar."""
    measured = {kind: [measured_error(kind, seed) for seed in range(sources)] for kind in KINDS}
    rows: list[Row] = [_time_row()]
    for kind, each in measured.items():
        rows += _board_rows(kind, np.array(each))
    told = [marked_errors(kind, seed) for kind in OVENS for seed in range(marked)]
    return rows + _mark_rows(told)


def _time_row() -> Row:
    run, _ = measuring_run(workshop("convection", 1), BOARD_BEAD)
    began = time.perf_counter()
    learning.learn(load_source("convection"), [run])
    return ("one measurement", time.perf_counter() - began, "s", "<= 20")


def measured_error(kind: str, seed: int) -> tuple[float, float]:
    """Board RMS and fit on a held-out soldering run, after one run with a scrap-board sensor."""
    shop = workshop(kind, seed)
    run, _ = measuring_run(shop, BOARD_BEAD)
    params = learning.learn(shop.kind, [run]).solution.params
    score = quality.scores(params, soldering_run(shop, (BOARD_BEAD,), 9)[0])["board"]
    return score.rms_c, score.fit_percent


def _board_rows(kind: str, found: np.ndarray) -> list[Row]:
    rms, fit = found.T
    of = f"{kind}, {len(rms)} sources, scrap-board sensor: held-out board"
    return [
        (f"{of} RMS, mean", float(rms.mean()), "C", "<= 2.0"),
        (f"{of} RMS, p95", float(np.percentile(rms, 95)), "C", "<= 3.5"),
        (f"{of} fit, mean", float(fit.mean()), "%", ">= 97"),
    ]


def marked_errors(kind: str, seed: int) -> list[Told]:
    """Air sensor only: the peak told after no mark, and after a mark in one, two and three runs."""
    shop = workshop(kind, seed)
    run, _ = measuring_run(shop, SENSOR)
    learnt = learning.learn(shop.kind, [run])
    source = candidate.document(shop.kind, learnt.solution, [run], spread=learnt.spread)
    held, states = soldering_run(shop, (SENSOR,), 9)
    told = [_told(source, held, float(states[:, BOARD].max()))]
    for number in (1, 2, 3):
        marked, seen = soldering_run(shop, (SENSOR,), number)
        marked = replace(marked, melts=melt_seen(shop, seen, number))
        solution = marking.refit(source, [marked])
        source = candidate.document(source, solution, [marked], spread=source.spread, anew=False)
        told.append(_told(source, held, float(states[:, BOARD].max())))
    return told


def _told(source: candidate.Source, held: Measurement, peak_c: float) -> Told:
    """From the held-out run's own duty and sensor, as every production run has them."""
    solution = marking.refit(source, [held])
    board_c, sd_k = band.board_band(solution, source.spread, held)
    top = int(np.argmax(board_c))
    error_k = float(board_c[top]) - peak_c
    return Told(error_k, abs(error_k) <= band.SD_OF_90 * float(sd_k[top]))


def _mark_rows(told: list[list[Told]]) -> list[Row]:
    errors = np.abs([[one.error_k for one in each] for each in told])
    inside = np.array([[one.inside for one in each] for each in told])
    of = f"air sensor, {len(told)} sources: board peak"
    covered = 100.0 * float(inside[:, 1:].mean())
    p95 = np.percentile(errors, 95, axis=0)
    return [
        (f"{of} error before any mark, p95", float(p95[0]), "C", "printed"),
        (f"{of} error after one mark, p95", float(p95[1]), "C", "<= 8.5"),
        (f"{of} error after marks in three runs, p95", float(p95[3]), "C", "<= 3.5"),
        (f"{of} inside its 90 % band", covered, "%", ">= 85"),
        (f"{of} inside its 90 % band", covered, "%", "<= 95"),
    ]
