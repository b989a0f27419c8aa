"""``heatwright report``: one page on a run, as HTML or PDF."""

from __future__ import annotations

from pathlib import Path

import click

from heatwright import sentences
from heatwright.records import folder
from heatwright.reporting.report import gather

EXAMPLES = """\b
Examples:
  heatwright report runs/20260304-123015-sac305-default --photo front.jpg --photo back.jpg
  heatwright report runs/20260304-123015-sac305-default --pdf --out bake.pdf
"""
OF_FILE = click.Path(path_type=Path, dir_okay=False)


@click.command(epilog=EXAMPLES)
@click.argument("record", type=click.Path(path_type=Path))
@click.option("--out", type=OF_FILE, help="Default: report.html (or .pdf) in the run's folder.")
@click.option("--pdf", "as_pdf", is_flag=True, help="A PDF instead of HTML.")
@click.option("--photo", "photos", type=OF_FILE, multiple=True, help="May be given several times.")
@click.option("--paste", metavar="NAME|FILE", help="Default: the run's own.")
def command(
    record: Path, out: Path | None, as_pdf: bool, photos: tuple[Path, ...], paste: str | None
) -> None:
    """Write one self-contained file on the run in RECORD: curve, verdict, documents, hashes.

    The HTML file holds everything, photographs too, and opens without a network. A report that
    is there already is replaced.
    """
    found = gather(record, photos, paste)
    target = out or found.record.path.parent / ("report.pdf" if as_pdf else "report.html")
    if as_pdf:
        from heatwright.reporting.pdf import pdf

        data = pdf(found)
    else:
        from heatwright.reporting.html import page

        data = page(found).encode()
    folder.put(target.parent, target.name, data)
    click.echo(sentences.REPORT_WRITTEN.format(file=target))
