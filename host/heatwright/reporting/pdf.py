"""A report as PDF, drawn by Matplotlib: the picture, then the text, then the photographs."""

from __future__ import annotations

import io
import textwrap
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from heatwright import sentences
from heatwright.errors import BadInput, Fault
from heatwright.reporting import picture
from heatwright.reporting.palette import GREY, INK
from heatwright.reporting.photos import Photo
from heatwright.reporting.report import Report

if TYPE_CHECKING:
    from matplotlib.figure import Figure

# A4, lying: the picture is wide.
PAGE_IN = (11.69, 8.27)
LEFT, TOP, LINE = 0.06, 0.94, 0.0235
LINES_A_PAGE = 37
WRAP = 128
# Where the cells of a row begin, as shares of the page's width.
CELLS = (0.0, 0.3, 0.42, 0.56, 0.74)
Line = tuple[str, tuple[str, ...]]


def pdf(report: Report) -> bytes:
    """The report as the bytes of a PDF; the same run gives the same bytes."""
    import matplotlib
    from matplotlib.backends.backend_pdf import PdfPages

    written = io.BytesIO()
    with (
        matplotlib.rc_context(picture.STYLE),
        PdfPages(written, metadata={"CreationDate": None, "Title": report.title}) as pages,
    ):
        first = picture.blank(PAGE_IN)
        picture.lay_out(first, [picture.panel(report.record, report.verdict)])
        pages.savefig(first)
        for lines in _paginated(list(_lines(report))):
            pages.savefig(_text_page(lines))
        for photo in report.photos:
            pages.savefig(_photo_page(photo))
    return written.getvalue()


def _paginated(lines: list[Line]) -> Iterator[list[Line]]:
    """Pages of text; no heading stands alone at a page's end."""
    while lines:
        count = min(LINES_A_PAGE, len(lines))
        while 1 < count < len(lines) and lines[count - 1][0] == "head":
            count -= 1
        yield lines[:count]
        lines = lines[count:]


def _lines(report: Report) -> Iterator[Line]:
    """Every line of text with its style: a heading, a row of cells, a note, a hash."""
    yield "head", (f"{report.status}: {report.title}",)
    yield from _wrapped("text", report.verdict.sentence)
    yield from (("row", (label, value)) for label, value in report.head)
    yield from _measures(report)
    yield from _notes(report)
    yield from _heading(sentences.REPORT_EVENTS)
    yield from (("row", happened) for happened in report.happened)
    yield from _heading(sentences.REPORT_HASHES)
    yield "hash", ("trace", report.record.trace_sha256, "")
    for document in report.documents:
        yield "hash", (document.name, document.sha256, document.state)
    yield from _wrapped("small", sentences.REPORT_NO_CLAIM)


def _heading(text: str) -> Iterator[Line]:
    yield "text", ("",)
    yield "head", (text,)


def _measures(report: Report) -> Iterator[Line]:
    yield from _heading(sentences.REPORT_MEASURED)
    for row in report.rows:
        if row.part_begins:
            yield "bold", (row.part_begins,)
        yield "row", (row.name, row.value, row.range, row.window, row.status)
    for text in report.measured_from:
        yield from _wrapped("small", text)


def _notes(report: Report) -> Iterator[Line]:
    if report.verdict.notes or report.notes:
        yield from _heading(sentences.REPORT_NOTES)
    for text in (*report.verdict.notes, *report.notes.splitlines()):
        yield from _wrapped("text", text)


def _wrapped(style: str, text: str) -> Iterator[Line]:
    for line in textwrap.wrap(text, WRAP):
        yield style, (line,)


STYLES: dict[str, dict[str, Any]] = {
    "head": {"fontsize": 13, "fontweight": "bold"},
    "bold": {"fontsize": 10, "fontweight": "bold"},
    "text": {"fontsize": 10},
    "row": {"fontsize": 10},
    "small": {"fontsize": 9, "color": GREY},
    "hash": {"fontsize": 8, "family": "monospace"},
}
HASH_CELLS = (0.0, 0.14, 0.72)


def _text_page(lines: list[Line]) -> Figure:
    page = picture.blank(PAGE_IN)
    for number, (style, cells) in enumerate(lines):
        places = HASH_CELLS if style == "hash" else CELLS
        for place, cell in zip(places, cells, strict=False):
            x, y = LEFT + place * (1 - 2 * LEFT), TOP - number * LINE
            page.text(x, y, cell, va="top", **({"color": INK} | STYLES[style]))
    return page


def _photo_page(photo: Photo) -> Figure:
    from matplotlib.image import imread

    page = picture.blank(PAGE_IN)
    try:
        pixels = imread(io.BytesIO(photo.data), format=photo.kind.partition("/")[2])
    except (OSError, ValueError, SyntaxError) as error:
        raise BadInput(
            Fault(sentences.PHOTO_REFUSED, photo.name, str(error), cure=sentences.PHOTO_CURE)
        ) from error
    axes = page.add_axes((LEFT, 0.08, 1 - 2 * LEFT, 0.84))
    axes.imshow(pixels)
    axes.set_axis_off()
    page.text(LEFT, 0.04, photo.name, fontsize=9, color=GREY)
    return page
