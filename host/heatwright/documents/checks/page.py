"""The checklist as one HTML file that needs no network and prints on one sheet."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

from heatwright.documents.checks.checklist import Section

STYLE = """
body { font: 11pt/1.35 system-ui, sans-serif; max-width: 44rem; margin: 1.5rem auto;
       padding: 0 1rem; color: #111; background: #fff; }
h1 { font-size: 16pt; margin: 0 0 .3rem; }
h2 { font-size: 12pt; margin: .9rem 0 .2rem; border-bottom: 1px solid #888; }
ul { list-style: none; margin: 0; padding: 0; }
li { margin: .25rem 0; break-inside: avoid; }
label { display: flex; gap: .6rem; align-items: baseline; }
input { flex: none; width: 1rem; height: 1rem; }
footer { margin-top: 1rem; border-top: 1px solid #888; padding-top: .4rem; }
@media print { body { margin: 0; max-width: none; font-size: 10pt; } @page { margin: 15mm; } }
"""


def html(title: str, sections: Sequence[Section], foot: str, when: str) -> str:
    """A whole page; every text is escaped."""
    body = "\n".join(_section(section) for section in sections)
    return (
        '<!doctype html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{escape(title)}</title>\n<style>{STYLE}</style>\n</head>\n<body>\n<main>\n"
        f"<h1>{escape(title)}</h1>\n<p>{escape(when)}</p>\n{body}\n</main>\n"
        f"<footer>{escape(foot)}</footer>\n</body>\n</html>\n"
    )


def _section(section: Section) -> str:
    items = "\n".join(
        f'<li><label><input type="checkbox"> <span>{escape(item)}</span></label></li>'
        for item in section.items
    )
    return f"<section>\n<h2>{escape(section.head)}</h2>\n<ul>\n{items}\n</ul>\n</section>"
