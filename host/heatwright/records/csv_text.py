"""Text of other programs' CSV files: encoding, separator, and rows with their line numbers."""

from __future__ import annotations

import csv
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

from heatwright import sentences
from heatwright.errors import BadInput, Fault

# A day at four samples a second is 15 MB; whatever is larger is no record of one run.
LARGEST_BYTES = 32_000_000
# Most telling first: where lines split evenly both ways, a comma is a decimal sign.
SEPARATORS = ";\t|,"
LOOKED_AT = 60


class Row(NamedTuple):
    """The cells of one row, stripped, and the line of the file on which it ends."""

    line: int
    cells: list[str]


class Sheet(NamedTuple):
    """All rows that are not blank, and how the cells were told apart."""

    rows: list[Row]
    separator: str


def read_sheet(path: Path) -> Sheet:
    """Read a file's rows. Raises `BadInput` where it can't be read as text in rows."""
    text = _decoded(path, _bytes(path))
    separator = _separator(text)
    try:
        rows = list(_rows(text, separator))
    except csv.Error as error:
        raise _refused(path, sentences.CSV_NO_ROWS, str(error)) from error
    if not rows:
        raise _refused(path, sentences.CSV_EMPTY, "no row at all")
    return Sheet(rows, separator)


def _bytes(path: Path) -> bytes:
    try:
        with path.open("rb") as file:
            data = file.read(LARGEST_BYTES + 1)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise _refused(path, sentences.CSV_CLOSED, reason) from error
    if len(data) > LARGEST_BYTES:
        raise _refused(path, sentences.CSV_LARGE, f"more than {LARGEST_BYTES // 1_000_000} MB")
    return data


def _decoded(path: Path, data: bytes) -> str:
    """UTF-16 where its mark says so, else UTF-8, else Latin-1, in which a degree sign is B0."""
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        text = data.decode("utf-16", errors="replace")
    else:
        try:
            text = data.decode("utf-8-sig")
        except UnicodeDecodeError:
            text = data.decode("latin-1")
    if "\0" in text:
        raise _refused(path, sentences.CSV_NO_ROWS, "bytes that are not text")
    return text


def _separator(text: str) -> str:
    some = [line for line in text.splitlines()[: 2 * LOOKED_AT] if line.strip()][:LOOKED_AT]
    return max(SEPARATORS, key=lambda separator: _evenness(some, separator))


def _evenness(lines: list[str], separator: str) -> int:
    """How many lines have the most usual number of this separator, where that is not none."""
    counts = Counter(line.count(separator) for line in lines)
    counts.pop(0, None)
    return max(counts.values(), default=0)


def _rows(text: str, separator: str) -> Iterator[Row]:
    reader = csv.reader(text.splitlines(keepends=True), delimiter=separator)
    for cells in reader:
        stripped = [cell.strip() for cell in cells]
        if any(stripped):
            yield Row(reader.line_num, stripped)


def _refused(path: Path, what: str, found: str) -> BadInput:
    return BadInput(Fault(what, str(path), found, sentences.CSV_EXPECTED, sentences.CSV_CURE))
