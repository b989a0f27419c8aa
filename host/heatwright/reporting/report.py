"""All that is known of one run, gathered for a page: the record, its verdict, its documents."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from heatcore.codes import EVENT_NAMES, EVENT_STAGE, STAGES, TRIP_NAMES
from heatwright import sentences
from heatwright.judging.kept import kept
from heatwright.judging.measures import RATE_WINDOW_S
from heatwright.judging.verdict import Verdict
from heatwright.judging.windows import Measure
from heatwright.judging.wording import amount, window
from heatwright.records import folder
from heatwright.records.reader import Event, Record, read
from heatwright.reporting import seen_report
from heatwright.reporting.marks import words
from heatwright.reporting.photos import Photo, read_photos

DOCUMENTS = (
    folder.PASTE,
    folder.PROFILE,
    folder.SOURCE,
    folder.BOARD,
    folder.PARTS,
    folder.PLAN,
)
# A document is a few kilobytes; a folder may hold anything.
LARGEST_TEXT = 200_000


@dataclass(frozen=True)
class Document:
    """One of the run's documents, and whether it is still what the run was made with."""

    name: str
    text: str
    sha256: str
    state: str


@dataclass(frozen=True)
class Row:
    """One measure as a table's row; ``part_begins`` names the part whose first row it is."""

    name: str
    value: str
    range: str
    window: str
    status: str
    status_code: str
    source: str
    part_begins: str


@dataclass(frozen=True)
class Report:
    """What the page and the PDF say."""

    record: Record
    verdict: Verdict
    notes: str
    documents: tuple[Document, ...]
    photos: tuple[Photo, ...]

    @property
    def title(self) -> str:
        return str(self.record.header.get("name") or self.record.path.parent.name)

    @property
    def status(self) -> str:
        return words(self.verdict.status)

    @property
    def head(self) -> list[tuple[str, str]]:
        """When, where and with what, as far as it is known."""
        header = self.record.header
        known = {
            "started": str(header.get("started") or "")[:16].replace("T", " "),
            "on": header.get("on"),
            "paste": self.verdict.paste.name,
            "sensor": words(header.get("placing") or ""),
            "run": self.record.path.parent.name,
        }
        return [(label, str(value)) for label, value in known.items() if value]

    @property
    def header(self) -> list[tuple[str, str]]:
        return [(words(key), str(value)) for key, value in self.record.header.items()]

    @property
    def rows(self) -> list[Row]:
        return _rows(self.verdict.measures)

    @property
    def happened(self) -> list[tuple[str, ...]]:
        """The events: when, what, and the two numbers that go with it; stages by their names."""
        return [_happened(event) for event in self.record.events]

    @property
    def measured_from(self) -> list[str]:
        """What was measured how, and what of the record is missing."""
        said = []
        if self.verdict.board:
            said.append(
                sentences.JUDGED_FROM[self.verdict.board.origin].format(
                    tolerance=f"{self.verdict.board.tolerance_k:.2g} °C",
                    window=amount(RATE_WINDOW_S, "s"),
                )
            )
        if self.record.damaged_lines:
            said.append(sentences.DAMAGED_LINES.format(count=self.record.damaged_lines))
        return said


def gather(place: Path, photos: Sequence[Path] = (), paste: str | None = None) -> Report:
    """Read a run's folder and judge it anew. Raises `BadInput`."""
    record = read(place)
    run = record.path.parent
    own = kept(run, paste)
    verdict = own.judge(record)
    noted = "\n".join(seen_report.report(run, record, verdict, own.bench).lines())
    documents = tuple(_documents(run, record))
    return Report(record, verdict, noted, documents, read_photos(photos))


def _happened(event: Event) -> tuple[str, ...]:
    name = EVENT_NAMES.get(event.code) or TRIP_NAMES.get(event.code, f"code {event.code}")
    numbers = (event.seen, event.expected)
    told = ["" if number is None else str(number) for number in numbers]
    if event.code == EVENT_STAGE:
        told = [STAGES[n] if n is not None and 0 <= n < len(STAGES) else "" for n in numbers]
    return (f"{event.time_s:.2f} s", words(name), *(words(text) for text in told))


def _documents(run: Path, record: Record) -> list[Document]:
    found = []
    for name in DOCUMENTS:
        if (run / name).is_file():
            digest = hashlib.sha256((run / name).read_bytes()).hexdigest()
            then = record.header.get(f"{name.partition('.')[0]}_sha256")
            found.append(Document(name, _text(run / name), digest, _state(digest, then)))
    return found


def _state(now: str, then: object) -> str:
    if then is None:
        return sentences.REPORT_NOT_IN_RECORD
    return sentences.REPORT_AS_RUN if now == then else sentences.REPORT_CHANGED


def _text(path: Path) -> str:
    try:
        with path.open("rb") as file:
            return file.read(LARGEST_TEXT).decode("utf-8", errors="replace")
    except OSError:
        return ""


def _rows(measures: Sequence[Measure]) -> list[Row]:
    """The run's own measures first, then those of each part under its name."""
    rows = []
    for part in dict.fromkeys(measure.part for measure in measures):
        begins = part or ""
        for measure in measures:
            if measure.part == part:
                rows.append(_row(measure, begins))
                begins = ""
    return rows


def _row(measure: Measure, begins: str) -> Row:
    value = sentences.NOT_KNOWN if measure.value is None else amount(measure.value, measure.unit)
    return Row(
        words(measure.name),
        value,
        _range(measure),
        window(measure),
        words(measure.status),
        measure.status,
        measure.source,
        begins,
    )


def _range(measure: Measure) -> str:
    if measure.value_low is None or measure.value_high is None:
        return ""
    low = amount(measure.value_low, measure.unit).split()[0]
    return f"{low} to {amount(measure.value_high, measure.unit)}"
