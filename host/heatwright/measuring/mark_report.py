"""One mark from the command line to a better source file, and all that is said of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import numpy as np

from heatwright import sentences
from heatwright.documents import Source, load_source
from heatwright.documents.reading import candidate_path
from heatwright.errors import BadInput, Fault
from heatwright.judging.melting import Melt
from heatwright.measuring import band, candidate, coverage, marking
from heatwright.measuring.fitting import Solution
from heatwright.measuring.marking import Doubt
from heatwright.measuring.measurement import SENSOR, Measurement, from_record
from heatwright.records import folder, melt_marks
from heatwright.records.melt_marks import Mark
from heatwright.records.reader import Record
from heatwright.records.units import Floats

SCHEMA_VERSION = 1
DAY = timedelta(days=1)
# Where the board is compared with the sensor, as shares of the way to its peak and after it.
SHOWN_EVERY_S = 60.0


@dataclass(frozen=True)
class Wanted:
    """What a person asks to be marked."""

    at: str | None
    alloy: str = ""
    seen: melt_marks.Seen = "first_melt"
    by_clock: bool = False
    force: bool = False


@dataclass(frozen=True)
class Difference:
    """Board minus sensor at one time of the run, K, with half the width of its 90 % band."""

    time_s: float
    board_c: float
    difference_k: float
    band_k: float


@dataclass(frozen=True)
class Told:
    """What sensor and marks tell of the board in this run."""

    differences: list[Difference]
    peak_c: float
    peak_band_k: float


@dataclass(frozen=True)
class Report:
    """What a mark came to; ``told`` is None where nothing of the run is new to the source."""

    mark: Mark | None
    source: Path | None
    asked_of: Path | None
    accepted: bool
    told: Told | None
    doubts: list[Doubt]
    warnings: list[str]

    def as_json(self) -> dict[str, Any]:
        """The document of ``mark --json``."""
        return {
            "schema_version": SCHEMA_VERSION,
            "mark_s": self.mark.time_s if self.mark else None,
            "source": str(self.source) if self.source else None,
            "accepted": self.accepted,
            "peak_board_c": round(self.told.peak_c, 2) if self.told else None,
            "peak_band_k": round(self.told.peak_band_k, 2) if self.told else None,
            "board_minus_sensor": [
                {"time_s": d.time_s, "difference_k": round(d.difference_k, 2),
                 "band_k": round(d.band_k, 2)}
                for d in (self.told.differences if self.told else [])
            ],
            "contradictions": [
                {"time_s": d.melt.time_s, "expected_c": round(d.expected_c, 1),
                 "standard_deviations": round(d.sds, 2)}
                for d in self.doubts
            ],
            "warnings": self.warnings,
        }  # fmt: skip

    def lines(self) -> list[str]:
        """What a person reads."""
        told = _lines(self.told) if self.told else [sentences.TOLD_BEFORE]
        return [*told, *self.warnings, self._written()]

    def _written(self) -> str:
        """What became of the source file."""
        if self.source:
            kept = sentences.SOURCE_KEPT if self.accepted else sentences.MARK_CANDIDATE
            return kept.format(path=self.source, source=self.asked_of)
        if self.asked_of:
            return sentences.NOTHING_NEW_LEARNT.format(path=self.asked_of)
        return sentences.NO_SOURCE_LEARNT


def _lines(told: Told) -> list[str]:
    rows = [
        sentences.DIFFERENCE.format(at=d.time_s, board=d.board_c, off=d.difference_k, band=d.band_k)
        for d in told.differences
    ]
    peak = sentences.MARK_PEAK.format(peak=told.peak_c, band=told.peak_band_k)
    return [peak, sentences.DIFFERENCES, *rows]


def marked(record: Record, wanted: Wanted, out: Path | None, *, accept: bool = False) -> Report:
    """Keep the mark (none asked for: those that stand), and refit the source by all of this run's.

    A mark that stands already is not made a second time: it would weigh twice.

    Raises:
        BadInput: a time that can't be read, an alloy not known, or a mark that contradicts the
            model and is not forced; nothing is written then.
    """
    mark = _mark(record, wanted)
    new = [mark] if mark and not melt_marks.stands(record, mark) else []
    source, path = _source(record, out)
    run = marking.marked_run(source, record, new)
    doubts = marking.doubts(source, run)
    for one in new:
        if not wanted.force:
            _question(record, one, doubts)
        melt_marks.add(record.path, one)
    report = _learnt(source, path, run, mark, doubts, accept)
    if path and run.melts and run.sha256 in source.learnt_from:
        report.warnings.insert(0, _known_before(source, path, record, run))
    return report


def _known_before(source: Source, path: Path, record: Record, run: Measurement) -> str:
    """A new mark of a run that was learnt from: what is told goes by it, not by the sensor."""
    before = marking.known_melts(source, record, run.sha256)
    at = record.path.parent
    found = sentences.MARK_KNOWN_RUN.format(
        record=at,
        source=path,
        before=_melts(before) or sentences.NO_MARKS_BEFORE,
        found=_melts(run.melts),
    )
    cure = sentences.MARK_KNOWN_RUN_CURE.format(record=at, source=path, kind=source.kind)
    return f"{found} {cure}"


def _melts(melts: Sequence[Melt]) -> str:
    return ", ".join(f"{melt.seen.replace('_', ' ')} at {melt.time_s:.0f} s" for melt in melts)


def undone(record: Record, out: Path | None) -> list[str]:
    """Take the latest mark made afterwards back; what is told of it and of files that learnt it.

    A candidate that learnt it is taken away, so that nobody accepts it unawares.

    Raises `BadInput` where there is no mark, or ``out`` is no source.
    """
    source = _source(record, out)[0] if out else None
    mark = melt_marks.undo(record.path)
    said = [sentences.UNDONE.format(seen=mark.seen.replace("_", " "), at=mark.time_s)]
    sha256 = from_record(record).sha256
    waiting = candidate.waiting(out) if out else None
    if out and waiting and sha256 in waiting.marked_from:
        candidate_path(out).unlink()
        said.append(sentences.CANDIDATE_GONE.format(path=candidate_path(out)))
    if out and source and candidate.knows(source, sha256, marking.melt_of(record, mark)):
        generation = source.generation - 1
        there = candidate.kept_before(out, generation) or [candidate.before_path(out, generation)]
        before = sentences.OR.join(str(path) for path in there)
        said.append(sentences.UNLEARN.format(source=out, before=before))
    return said


def _learnt(
    source: Source,
    path: Path | None,
    run: Measurement,
    mark: Mark | None,
    doubts: list[Doubt],
    accept: bool,
) -> Report:
    solution = marking.refit(source, [run])
    written = None
    if path and run.melts:
        note = (
            sentences.FORCED_NOTE.format(run=run.name) if any(m.forced for m in run.melts) else ""
        )
        found = candidate.document(
            source, solution, [run], spread=source.spread, note=note, anew=False
        )
        written = candidate.write(found, path, accept)
    return Report(
        mark=mark,
        source=written,
        asked_of=path,
        accepted=accept and written is not None,
        told=_told(run, solution) if run.melts or run.sha256 not in source.learnt_from else None,
        doubts=doubts,
        warnings=[*run.statements, *coverage.moved(source, [run])],
    )


def _told(run: Measurement, solution: Solution) -> Told:
    """Of a run that was learnt from before, its new marks alone tell."""
    board_c, sd_k = band.board_band(solution)
    peak = int(np.argmax(board_c))
    return Told(
        differences=_differences(run, board_c, sd_k),
        peak_c=float(board_c[peak]),
        peak_band_k=band.SD_OF_90 * float(sd_k[peak]),
    )


def _differences(run: Measurement, board_c: Floats, sd_k: Floats) -> list[Difference]:
    read = run.readings.get(SENSOR, run.readings[run.channel])
    step = round(SHOWN_EVERY_S / 0.25)
    return [
        Difference(
            time_s=float(run.time_s[at]),
            board_c=float(board_c[at]),
            difference_k=float(board_c[at] - read[at]),
            band_k=band.SD_OF_90 * float(sd_k[at]),
        )
        for at in range(step, len(board_c), step)
        if np.isfinite(read[at])
    ]


def _question(record: Record, mark: Mark, doubts: list[Doubt]) -> None:
    """A mark that the model contradicts is not kept before the person has thought again."""
    for doubt in doubts:
        if doubt.melt.time_s == mark.time_s:
            raise BadInput(
                Fault(
                    sentences.CONTRADICTS.format(sds=abs(doubt.sds)),
                    str(record.path),
                    sentences.BOARD_EXPECTED.format(
                        expected=doubt.expected_c, at=mark.time_s, alloy=doubt.melt.alloy
                    ),
                    sentences.MELTS_AT.format(low=doubt.melt.solidus_c, high=doubt.melt.liquidus_c),
                    sentences.CONTRADICTS_CURE,
                )
            )


def _source(record: Record, out: Path | None) -> tuple[Source, Path | None]:
    """The file to learn, else the run's own copy, which is only told of."""
    if out:
        candidate.check_out(out)
        return load_source(out), out
    own = record.path.parent / folder.SOURCE
    if own.is_file():
        return load_source(own), None
    fault = Fault(sentences.SOURCE_OF_MARK, "--source", cure=sentences.SOURCE_OF_MARK_CURE)
    raise BadInput(fault)


def _mark(record: Record, wanted: Wanted) -> Mark | None:
    if wanted.at is None:
        return None
    time_s = _by_clock(record, wanted.at) if wanted.by_clock else _seconds(wanted.at)
    if not 0.0 <= time_s <= float(record.time_s[-1]):
        raise BadInput(Fault(sentences.NOT_IN_RUN, "--at", wanted.at, _within(record, wanted)))
    return Mark(time_s, wanted.seen, wanted.alloy, wanted.force)


def _within(record: Record, wanted: Wanted) -> str:
    """From when to when the run went, in the way that the person gave the time."""
    end_s = float(record.time_s[-1])
    if not wanted.by_clock:
        return sentences.WITHIN_RUN.format(end=end_s)
    began = _began(record)
    return sentences.WITHIN_CLOCK.format(begin=began, end=began + timedelta(seconds=end_s))


def _seconds(text: str) -> float:
    """``252``, ``4:12`` or ``0:04:12``."""
    try:
        parts = [float(part) for part in text.split(":")]
    except ValueError:
        parts = []
    if not 1 <= len(parts) <= 3:
        raise BadInput(Fault(sentences.NOT_A_TIME, "--at", text, sentences.TIME_FORM))
    return sum(part * 60.0**at for at, part in enumerate(reversed(parts)))


def _by_clock(record: Record, text: str) -> float:
    """Seconds since the run began, from the clock time that a video shows."""
    began = _began(record)
    midnight = began.replace(hour=0, minute=0, second=0, microsecond=0)
    shown = midnight + timedelta(seconds=_seconds(text))
    return (shown - began) % DAY / timedelta(seconds=1)


def _began(record: Record) -> datetime:
    started = record.header.get("started")
    if not isinstance(started, str):
        raise BadInput(
            Fault(sentences.NOT_STARTED, str(record.path), cure=sentences.NOT_STARTED_CURE)
        )
    return datetime.fromisoformat(started)
