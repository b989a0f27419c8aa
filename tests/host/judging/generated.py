"""Curves with known truth: what the board did, and what a bead within its tolerance made of it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from heatwright.documents.bench import Bench, Fitted
from heatwright.documents.part import Part, Sheet
from heatwright.judging.board import BEAD_TOLERANCE_K, JUNCTION_TOLERANCE_K, WIRE_TOLERANCE_K, Board
from heatwright.judging.curves import ROOM_C, Floats
from heatwright.judging.measures import measure
from heatwright.judging.verdict import judge_board
from records_made import TICK_S, paste

# what a front end's steps and noise add to a reading (data sheet of the MAX31855: steps of 0.25 C)
STEP_K, NOISE_SD_K = 0.25, 0.1
# corners are rounded over this time: no board turns at once
ROUNDING_S = 12.0


@dataclass(frozen=True)
class Drawn:
    """One generated run."""

    time_s: Floats
    true_c: Floats
    read_c: Floats


def draw(seed: int) -> Drawn:
    """A run like many, near enough to the windows that about half are good."""
    rng = np.random.default_rng([7, seed])
    true_c = _board(rng)
    time_s = TICK_S * np.arange(true_c.size)
    return Drawn(time_s, true_c, _read(true_c, rng))


def _board(rng: np.random.Generator) -> Floats:
    peak_c = rng.uniform(228.0, 257.0)
    level_c = np.array([ROOM_C, 150.0, 200.0, 217.0, peak_c])
    rate = [rng.uniform(0.7, 3.2), rng.uniform(0.35, 0.95), rng.uniform(0.6, 1.8)]
    rise_s = np.diff(level_c) / np.array([*rate, rng.uniform(0.4, 2.2)])
    hold_s, down = rng.uniform(0.0, 30.0), rng.uniform(0.8, 4.4)
    at_s = np.concatenate([[0.0], np.cumsum(rise_s)])
    top_s = at_s[-1] + hold_s
    corners_s = [*at_s, top_s, top_s + (peak_c - 50.0) / down]
    time_s = np.arange(0.0, corners_s[-1] + 40.0, TICK_S)
    line_c = np.interp(time_s, corners_s, [*level_c, peak_c, 50.0])
    width = round(ROUNDING_S / TICK_S)
    padded = np.pad(line_c, width // 2, mode="edge")
    return np.convolve(padded, np.ones(width) / width, mode="valid")[: time_s.size]


def _read(true_c: Floats, rng: np.random.Generator) -> Floats:
    """Wire and junction anywhere within their tolerances, the wire's drifting with temperature."""
    junction_k = rng.uniform(-JUNCTION_TOLERANCE_K, JUNCTION_TOLERANCE_K)
    cold_k, hot_k = rng.uniform(-WIRE_TOLERANCE_K, WIRE_TOLERANCE_K, 2)
    share = np.clip((true_c - ROOM_C) / (true_c.max() - ROOM_C), 0.0, 1.0)
    noise_k = NOISE_SD_K * rng.standard_normal(true_c.size)
    read_c = true_c + junction_k + cold_k + (hot_k - cold_k) * share + noise_k
    return np.round(read_c / STEP_K) * STEP_K


def bench() -> Bench:
    """SAC305 with a part that the hottest of these runs spoil."""
    limits = Sheet(peak_c=252.0, near_peak_s=25.0, up_limit_c_per_s=3.0)
    part = Part(name="Microphone", package="MEMS", thickness_mm=1.0, volume_mm3=9.0, sheet=limits)
    return Bench(paste(), None, (Fitted(part, ("MK1",)),))


def outcome(seed: int) -> tuple[str, bool]:
    """The verdict on what was read, and whether the board itself held every window."""
    drawn, on = draw(seed), bench()
    board = Board(drawn.time_s, drawn.read_c, "measured", BEAD_TOLERANCE_K)
    verdict = judge_board(board, on)
    true = measure(drawn.time_s, drawn.true_c, on.paste, on.fitted)
    return verdict.status, all(one.status == "pass" for one in true)


@dataclass(frozen=True)
class Shares:
    """How many verdicts of each kind, and how many of the good ones were wrong."""

    count: int
    passes: int
    wrong_passes: int
    likely: int
    wrong_likely: int

    @property
    def wrong_likely_share(self) -> float:
        return self.wrong_likely / max(1, self.likely)


def shares(count: int) -> Shares:
    told = [outcome(seed) for seed in range(count)]
    return Shares(
        count,
        sum(status == "pass" for status, _ in told),
        sum(status == "pass" and not good for status, good in told),
        sum(status == "likely_pass" for status, _ in told),
        sum(status == "likely_pass" and not good for status, good in told),
    )
