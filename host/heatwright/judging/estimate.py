"""The board estimated on the fitted source, from the duty, the sensor's readings and melt marks.

Many sources are drawn from the file's uncertainty and driven with the recorded duty and door. The
sensor's readings, and each mark (solder is its own thermometer), then move every drawn board by
linear regression of board on sensor over the drawn lot: an ensemble smoother (G. Evensen, *Data
Assimilation*, 2nd ed. 2009, chapter 9). What is left of the spread is the band.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from heatcore.codes import STAGES
from heatsim.batch import inputs_table, simulate
from heatsim.params import PlantParams, number_fields
from heatsim.plant import NODES
from heatsim.seeds import KIND_SPREAD
from heatwright.documents import alloys
from heatwright.documents.bench import Bench
from heatwright.documents.load import for_board
from heatwright.documents.paste import Paste
from heatwright.documents.source import Source
from heatwright.judging.curves import ROOM_C, Floats
from heatwright.judging.melting import Melt
from heatwright.records.door import door_open
from heatwright.records.melt_marks import Mark, marks_of
from heatwright.records.reader import Record

DRAWN, KEPT = 400, 40
# twice the plant's own step: no node of a source is so quick that it would show, and nobody waits
STEP_S = 0.5
SEED = 20
# readings compared, evenly over the run: more would say the same thing again
READINGS = 40
# what a reading may be off, besides the source's own spread: wire and front end, as one sd
READING_SD_K = 2.0
# on so many steps to either side of a mark a board's rate is taken
RATE_STEPS = 4
MAINS_SD = 0.02
ROOM_LOW_C, ROOM_HIGH_C = 5.0, 40.0
BOARD, LARGE, SENSOR = (NODES.index(name) for name in ("board", "large_part", "sensor"))


@dataclass(frozen=True)
class Estimated:
    """The board's likeliest curve and others as likely, all of one shape."""

    time_s: Floats
    board_c: Floats
    members: tuple[Floats, ...]


@dataclass(frozen=True)
class Hidden:
    """Why the model can't tell; ``reason`` names a sentence."""

    reason: str


class _Seen(NamedTuple):
    """What was seen, what each drawn source would have shown there, and how exact it is."""

    value: Floats
    of_members: Floats
    sd_k: Floats


def estimate(
    record: Record, heard: tuple[Floats, Floats] | None, bench: Bench, source: Source
) -> Estimated | Hidden:
    """Estimate the board from what the controller's sensor heard; None: from duty and marks alone.

    The truth is never read. A board that is described is put into every drawn source.
    """
    if heard and record.header.get("placing") != source.sensor.placing:
        return Hidden("moved")
    time_s = np.arange(record.time_s[0], record.time_s[-1] + STEP_S / 2, STEP_S)
    rng = np.random.default_rng(SEED)
    drawn = [for_board(one, bench.board, bench.fitted) for one in draw(source, DRAWN, rng)]
    runs = _simulate(record, float(heard[1][0]) if heard else ROOM_C, time_s, drawn, rng)
    if not np.isfinite(runs).all():
        return Hidden("model")
    # a melt is seen on the board as it is, with what no number of the source explains
    runs[:, :, [BOARD, LARGE]] += _residual(record, time_s, source, rng)[:, :, np.newaxis]
    seen = _readings(heard, time_s, runs, source) if heard else _nothing(runs)
    for mark in _marks(record, time_s, runs, bench.paste):
        seen = _Seen(*(np.concatenate(pair, axis=-1) for pair in zip(seen, mark, strict=True)))
    boards_c = _moved(runs[:, :, BOARD], seen, rng)
    boards_c = _not_molten(boards_c, record, time_s, bench.paste)
    if boards_c.size == 0:
        return Hidden("model")
    kept = boards_c[np.linspace(0, len(boards_c) - 1, KEPT).astype(int)]
    return Estimated(time_s, boards_c.mean(axis=0), tuple(kept))


def _simulate(
    record: Record,
    start_c: float,
    time_s: Floats,
    drawn: list[PlantParams],
    rng: np.random.Generator,
) -> Floats:
    """Every drawn source driven as the record says: (sources, times, nodes)."""
    at = np.clip(np.searchsorted(record.time_s, time_s, side="right") - 1, 0, None)
    ambient_c = float(np.clip(start_c, ROOM_LOW_C, ROOM_HIGH_C))
    mains = 1.0 + MAINS_SD * rng.standard_normal(DRAWN)
    table = inputs_table(
        record.duty[at][:-1],
        door=door_open(record)[at][:-1],
        fan=record.raw["fan"][at][:-1].astype(float).clip(0.0, 1.0),
        ambient_c=ambient_c,
    )
    tables = np.repeat(table[np.newaxis], DRAWN, axis=0)
    tables[:, :, 3] = mains[:, np.newaxis]
    return simulate(drawn, tables, start_c=start_c, step_s=STEP_S)


def draw(source: Source, count: int, rng: np.random.Generator) -> list[PlantParams]:
    """Sources drawn from the file's uncertainty, correlations kept, each number in its range."""
    nominal = source.plant_params()
    sd = source.relative_sd() or _kind_sd(nominal)
    names = list(sd)
    normal = rng.standard_normal((count, len(names))) @ _root(source, names).T
    ranges = {one.name: one.metadata for one in number_fields()}
    drawn = []
    for row in normal:
        values = {f.name: getattr(nominal, f.name) for f in number_fields()}
        for name, z in zip(names, row, strict=True):
            # log-normal: a factor and its inverse are as likely, and no number turns negative
            factor = float(np.exp(sd[name] * z))
            low, high = ranges[name]["low"], ranges[name]["high"]
            values[name] = min(max(values[name] * factor, low), high)
        drawn.append(PlantParams(structure=nominal.structure, **values))
    return drawn


def _kind_sd(nominal: PlantParams) -> dict[str, float]:
    """A file that states no uncertainty knows its kind only."""
    names = ("element_j_k", "liner_j_k", "board_j_k", "liner_air_w_k", "leak_w_k")
    return {name: KIND_SPREAD for name in names if getattr(nominal, name) > 0.0}


def _root(source: Source, names: list[str]) -> Floats:
    """A square root of the correlation matrix of these parameters."""
    matrix = np.eye(len(names))
    known = source.correlation()
    if known:
        at = [names.index(name) for name in known.names]
        matrix[np.ix_(at, at)] = np.array(known.matrix())
    values, vectors = np.linalg.eigh(matrix)
    return np.asarray(vectors * np.sqrt(np.clip(values, 0.0, None)))


def _nothing(runs: Floats) -> _Seen:
    return _Seen(np.empty(0), runs[:, :0, SENSOR], np.empty(0))


def _readings(heard: tuple[Floats, Floats], time_s: Floats, runs: Floats, source: Source) -> _Seen:
    at = np.linspace(0, time_s.size - 1, READINGS).astype(int)
    value = np.interp(time_s[at], *heard)
    spread_k = [one.sd_k for _, one in source.spread if one is not None]
    # neighbouring readings err together: what all of them tell is not what one tells READINGS times
    sd_k = np.full(READINGS, np.hypot(READING_SD_K, max(spread_k, default=0.0)) * 2.0)
    return _Seen(value, runs[:, at, SENSOR], sd_k)


def _marks(record: Record, time_s: Floats, runs: Floats, paste: Paste) -> list[_Seen]:
    """The first melt as the board's temperature, the last as that of the largest part."""
    found = []
    for mark in marks_of(record):
        melt = _melt(mark, paste)
        if melt.melted:
            at = _index(time_s, melt.at_s)
            around = runs[:, max(at - RATE_STEPS, 0) : at + RATE_STEPS + 1, melt.node].mean(axis=0)
            sd_k = melt.sd_k(abs(float(np.gradient(around, STEP_S).mean())))
            of_members = runs[:, at : at + 1, melt.node]
            found.append(_Seen(np.array([melt.mean_c]), of_members, np.array([sd_k])))
    return found


def _melt(mark: Mark, paste: Paste) -> Melt:
    """What was seen to melt: the paste, unless the mark names an alloy."""
    melts = alloys.known(mark.alloy) or paste
    return Melt(mark.time_s, mark.seen, melts.solidus_c, melts.liquidus_c)


def _index(time_s: Floats, at_s: float) -> int:
    return int(np.searchsorted(time_s, at_s).clip(0, time_s.size - 1))


def _not_molten(boards_c: Floats, record: Record, time_s: Floats, paste: Paste) -> Floats:
    """Without the boards that would have melted before a person saw that nothing had."""
    kept = np.ones(len(boards_c), dtype=bool)
    for mark in marks_of(record):
        if mark.seen == "not_melted":
            melt = _melt(mark, paste)
            kept &= boards_c[:, _index(time_s, melt.at_s)] <= melt.mean_c
    # so few left: mark and model contradict each other, and the model is not to be believed
    return boards_c[kept] if int(kept.sum()) >= KEPT else boards_c[:0]


def _moved(boards_c: Floats, seen: _Seen, rng: np.random.Generator) -> Floats:
    """Every drawn board, moved by what was seen (perturbed observations)."""
    apart = seen.of_members - seen.of_members.mean(axis=0)
    count = len(boards_c) - 1
    spread = apart.T @ apart / count + np.diag(seen.sd_k**2)
    across = (boards_c - boards_c.mean(axis=0)).T @ apart / count
    gain = np.linalg.solve(spread, across.T).T
    noise_k = seen.sd_k * rng.standard_normal(seen.of_members.shape)
    return np.asarray(boards_c + (seen.value + noise_k - seen.of_members) @ gain.T)


def _residual(record: Record, time_s: Floats, source: Source, rng: np.random.Generator) -> Floats:
    """What no parameter explains: one offset a source, as large as each stage's spread says."""
    at = np.clip(np.searchsorted(record.time_s, time_s, side="right") - 1, 0, None)
    by_stage = [getattr(source.spread, name) for name in STAGES]
    mean_k = np.array([one.mean_k if one else 0.0 for one in by_stage])
    sd_k = np.array([one.sd_k if one else 0.0 for one in by_stage])
    stage = record.stage[at].clip(0, len(STAGES) - 1)
    offset = rng.standard_normal((DRAWN, 1))
    return np.asarray(mean_k[stage] + offset * _eased(sd_k[stage]))


def _eased(sd_k: Floats) -> Floats:
    """Without the jump at a stage's border, which would be a slope that no board has."""
    width = round(20.0 / STEP_S)
    padded = np.pad(sd_k, width, mode="edge")
    return np.convolve(padded, np.ones(2 * width + 1) / (2 * width + 1), mode="valid")
