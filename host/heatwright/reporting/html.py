"""A report as one HTML file that needs nothing else: no network, no other file.

Text from records and documents is escaped by the template. A policy in the page's head forbids
every connection and every script but the two whose hashes it names.
"""

from __future__ import annotations

import base64
import hashlib
from importlib.metadata import version
from pathlib import Path
from typing import Any

from heatwright import sentences
from heatwright.reporting import picture
from heatwright.reporting.curve import curves
from heatwright.reporting.photos import data_uri
from heatwright.reporting.report import Report

PARTS = Path(__file__).parent / "page"


def page(report: Report) -> str:
    """The report as HTML text."""
    from jinja2 import Environment, FileSystemLoader, StrictUndefined

    template = Environment(
        loader=FileSystemLoader(PARTS),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    ).get_template("page.html")
    return template.render(**_told(report), **_chart(report))


def _told(report: Report) -> dict[str, Any]:
    return {
        "version": version("heatwright"),
        "report": report,
        "verdict": report.verdict,
        "picture": data_uri("image/svg+xml", _picture(report)),
        "hint": sentences.REPORT_HINT,
        "no_claim": sentences.REPORT_NO_CLAIM,
        "style": _part("page.css"),
    }


def _chart(report: Report) -> dict[str, Any]:
    """The live curve: its numbers, uPlot, our own script, and the policy that lets both run."""
    from youplot import vendor

    code, chart_code = _part("chart.js"), vendor.uplot_js()
    return {
        "policy": policy(chart_code, code),
        "curves": curves(report),
        "code": code,
        "chart_code": chart_code,
        "chart_style": vendor.uplot_css(),
        "chart_licence": _part("uplot-licence.txt"),
    }


def _part(name: str) -> str:
    return (PARTS / name).read_text(encoding="utf-8")


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
