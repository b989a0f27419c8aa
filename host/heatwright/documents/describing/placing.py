"""Which part goes where: a line ``U1 QFN-24, J1 connector``, or a CSV with ``ref,package``."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable
from pathlib import Path
from typing import NamedTuple

from heatwright import sentences
from heatwright.documents import library
from heatwright.documents.describing import part as parts
from heatwright.documents.describing.answers import NotAnAnswer
from heatwright.documents.describing.outlines import names, outline
from heatwright.documents.part import Part
from heatwright.errors import BadInput, Fault

SIDES = {"": "top", "t": "top", "top": "top", "b": "bottom", "bottom": "bottom"}
NAMED = ("top", "bottom")
# one column is called this in most exports of layout programs
REF_HEADS = {"ref", "refs", "reference", "references", "designator", "refdes"}
PACKAGE_HEADS = {"package", "footprint", "part", "case"}
SIDE_HEADS = {"side", "layer"}


class Row(NamedTuple):
    """One name on the board, its package in the person's words, its side."""

    ref: str
    package: str
    side: str = "top"


def read_line(text: str) -> list[Row]:
    """``U1 QFN-24, J1 connector`` as rows; ``none`` is no row. Raises `NotAnAnswer`."""
    if text.strip().casefold() in ("none", "-", ""):
        return []
    rows = [_row(one.strip()) for one in text.split(",")]
    unknown = [row.package for row in rows if not is_known(row.package)]
    if unknown:
        raise NotAnAnswer(_no_package(unknown[0]))
    return rows


def _row(text: str) -> Row:
    """The first word is a name on the board where it looks like one; the last may be a side."""
    words = text.split()
    side = SIDES[words.pop().casefold()] if words[1:] and words[-1].casefold() in NAMED else "top"
    first, _, rest = " ".join(words).partition(" ")
    if rest and re.fullmatch(r"[A-Za-z]{1,3}\d{1,4}", first):
        return Row(first.upper(), rest, side)
    return Row("", " ".join(words), side)


def is_known(package: str) -> bool:
    return outline(package) is not None or package.casefold() in library.shipped("part")


def _no_package(package: str) -> str:
    return sentences.NO_PACKAGE.format(package=package, known=", ".join(names()))


def read_csv(path: Path) -> list[Row]:
    """Rows of a CSV with the columns ``ref`` and ``package``, and ``side`` if it has one.

    Raises `BadInput` with every line that can't be used.
    """
    try:
        text = path.read_text(encoding="utf-8-sig")
    except OSError as error:
        what = sentences.FILE_CLOSED.format(reason=error.strerror)
        raise BadInput(Fault(what, str(path), cure=sentences.FILE_CLOSED_CURE)) from error
    except UnicodeDecodeError as error:
        raise BadInput(
            Fault(sentences.NOT_UTF8, str(path), cure=sentences.NOT_UTF8_CURE)
        ) from error
    return _rows(text, str(path))


def _rows(text: str, name: str) -> list[Row]:
    dialect = (
        ";" if text.partition("\n")[0].count(";") > text.partition("\n")[0].count(",") else ","
    )
    lines = list(csv.reader(io.StringIO(text), delimiter=dialect))
    heads = [head.strip().casefold() for head in lines[0]] if lines else []
    at = [_column(heads, wanted) for wanted in (REF_HEADS, PACKAGE_HEADS, SIDE_HEADS)]
    if at[0] is None or at[1] is None:
        found = ", ".join(heads) or "an empty file"
        raise BadInput(
            Fault(
                sentences.NO_PARTS_COLUMNS, f"{name}:1", found, "ref,package", sentences.PARTS_CSV
            )
        )
    rows: list[Row] = []
    faults: list[Fault] = []
    for number, cells in enumerate(lines[1:], start=2):
        cell = [cells[i].strip() if i is not None and i < len(cells) else "" for i in at]
        if any(cell):
            faults += _faults(cell, f"{name}:{number}")
            # one line may name several, as layout programs group them
            rows += [Row(r, cell[1], SIDES.get(cell[2].casefold(), "")) for r in _split(cell[0])]
    if faults:
        raise BadInput(*faults)
    return rows


def _column(heads: list[str], wanted: set[str]) -> int | None:
    return next((index for index, head in enumerate(heads) if head in wanted), None)


def _split(refs: str) -> list[str]:
    return [one for one in re.split(r"[\s,;]+", refs) if one]


def _faults(cell: list[str], where: str) -> Iterable[Fault]:
    ref, package, side = cell
    if not ref:
        yield Fault(sentences.NO_REF, where, ", ".join(cell), "a name such as U1")
    if not is_known(package):
        yield Fault(_no_package(package), where, package, cure=sentences.NO_PACKAGE_CURE)
    if side.casefold() not in SIDES:
        yield Fault(sentences.NO_SIDE, where, side, "top or bottom")


class Placed(NamedTuple):
    """Placements of a board, and the part files that have to stand beside it."""

    placements: list[dict[str, object]]
    files: dict[str, Part]


def place(rows: Iterable[Row]) -> Placed:
    """Group rows by package and side; a shipped part is named, any other gets a file."""
    groups: dict[tuple[str, str], list[str]] = {}
    for row in rows:
        groups.setdefault((row.package, row.side), []).extend([row.ref] if row.ref else [])
    placements: list[dict[str, object]] = []
    files: dict[str, Part] = {}
    for (package, side), refs in groups.items():
        name = package.casefold()
        if name not in library.shipped("part"):
            name = file_name(package)
            found = outline(package)
            if found:
                files[name] = parts.by_default(package, found)
        placements.append({"part": name, "side": side, "refs": refs})
    return Placed(placements, files)


def file_name(package: str) -> str:
    plain = re.sub(r"[^a-z0-9]+", "-", package.casefold()).strip("-")
    return f"part-{plain}.toml"
