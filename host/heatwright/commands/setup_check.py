"""``heatwright setup-check``: documents and print checked before heat, and a list to tick off."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Sequence
from pathlib import Path

import click

from heatwright import sentences
from heatwright.documents import load_paste, load_source
from heatwright.documents.bench import load_bench
from heatwright.documents.checks import Finding, check
from heatwright.documents.checks.checklist import Section, checklist, foot, title
from heatwright.documents.checks.page import html
from heatwright.documents.writing import write_beside
from heatwright.errors import EXIT_BAD_INPUT, EXIT_DONE

SCHEMA_VERSION = 1

EXAMPLES = """\b
Examples:
  heatwright setup-check --paste paste.toml --board board.toml
  heatwright setup-check --board bat-logger --source toaster --html checklist.html

\b
Ends with 2 where lead would meet a bismuth paste and the board's file does not
accept it.
"""


@click.command(epilog=EXAMPLES)
@click.option("--paste", "paste_name", default="sac305", show_default=True, metavar="NAME|FILE")
@click.option("--board", metavar="NAME|FILE", help="The board, with the parts that it names.")
@click.option("--parts", multiple=True, metavar="NAME|FILE", help="A further part; repeatable.")
@click.option("--source", metavar="NAME|FILE", help="The heat source.")
@click.option("--html", "page", type=click.Path(path_type=Path), help="Write the list to print.")
@click.option("--json", "as_json", is_flag=True, help="One JSON document on standard output.")
def command(
    paste_name: str,
    board: str | None,
    parts: tuple[str, ...],
    source: str | None,
    page: Path | None,
    as_json: bool,
) -> None:
    """Check paste, parts and print before heat, and print the list to go through."""
    bench = load_bench(load_paste(paste_name), board, parts)
    now = dt.datetime.now()
    found = check(bench, now)
    sections = checklist(bench, load_source(source) if source else None, now)
    if as_json:
        _say_json(found, sections)
    else:
        _say(title(bench), found, sections, foot(bench))
    if page:
        when = f"{now:%Y-%m-%d %H:%M}"
        write_beside(page, html(title(bench), sections, foot(bench), when))
        click.echo(sentences.WROTE.format(path=page), err=True)
    refused = any(one.level == "refuse" for one in found)
    click.get_current_context().exit(EXIT_BAD_INPUT if refused else EXIT_DONE)


def _say(head: str, found: Sequence[Finding], sections: Sequence[Section], end: str) -> None:
    for one in found:
        click.echo(f"{sentences.SAYS[one.level]}: {one.text}")
    if any(one.level == "refuse" for one in found):
        click.echo(sentences.LEAD_REFUSED)
    if not found:
        click.echo(sentences.CHECKED_CLEAN)
    click.echo(f"\n{head}")
    for section in sections:
        if section.head != sentences.CHECKLIST_HEADS["documents"]:
            click.echo(f"\n{section.head}")
            for item in section.items:
                click.echo(f"  [ ] {item}")
    click.echo(f"\n{end}")


def _say_json(found: Sequence[Finding], sections: Sequence[Section]) -> None:
    document = {
        "schema_version": SCHEMA_VERSION,
        "findings": [one._asdict() for one in found],
        "checklist": [one._asdict() for one in sections],
    }
    click.echo(json.dumps(document, indent=2, ensure_ascii=False))
