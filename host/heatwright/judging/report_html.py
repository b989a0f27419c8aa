"""A report as one HTML file that needs nothing else: no network, no other file.

Text from records and documents is escaped by the template. A policy in the page's head forbids
every connection and every script but the two whose hashes it names.
"""

from __future__ import annotations

import base64
import hashlib
from importlib.metadata import version
from pathlib import Path

from heatwright import sentences
from heatwright.judging import picture
from heatwright.judging.report import Report
from heatwright.judging.report_curve import curves
from heatwright.judging.report_photos import data_uri

PARTS = Path(__file__).parent / "report_page"


def page(report: Report) -> str:
    """The report as HTML text."""
    from jinja2 import Environment, FileSystemLoader, StrictUndefined
    from youplot import vendor

    code, chart_code = (PARTS / "chart.js").read_text(encoding="utf-8"), vendor.uplot_js()
    template = Environment(
        loader=FileSystemLoader(PARTS),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    ).get_template("page.html")
    return template.render(
        version=version("heatwright"),
        policy=policy(chart_code, code),
        title=report.title,
        status=report.status,
        verdict=report.verdict,
        head=report.head,
        hint=sentences.REPORT_HINT,
        picture=data_uri("image/svg+xml", _picture(report)),
        picture_text=f"{report.title}: {report.verdict.sentence}",
        measures=report.rows,
        measured_from=report.measured_from,
        notes=report.notes,
        photos=report.photos,
        events=report.happened,
        documents=report.documents,
        trace=report.record.trace_sha256,
        header=report.header,
        no_claim=sentences.REPORT_NO_CLAIM,
        curves=curves(report),
        chart_code=chart_code,
        chart_style=vendor.uplot_css(),
        chart_licence=(PARTS / "uplot-licence.txt").read_text(encoding="utf-8"),
        style=(PARTS / "page.css").read_text(encoding="utf-8"),
        code=code,
    )


def policy(*scripts: str) -> str:
    """Nothing may be loaded; only these scripts run."""
    hashes = " ".join(f"'sha256-{_hash(script)}'" for script in scripts)
    return (
        f"default-src 'none'; img-src data:; style-src 'unsafe-inline'; script-src {hashes}; "
        "base-uri 'none'; form-action 'none'"
    )


def _hash(script: str) -> str:
    return base64.b64encode(hashlib.sha256(script.encode()).digest()).decode()


def _picture(report: Report) -> bytes:
    return picture.image([picture.panel(report.record, report.verdict)], "svg")
