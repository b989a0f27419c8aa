"""A few sentences for a person, or the same as one JSON document."""

from __future__ import annotations

import json
from collections.abc import Iterable

import click

SCHEMA_VERSION = 1


def say(sentences: Iterable[str], as_json: bool) -> None:
    """Print them, or one document of them on standard output."""
    said = list(sentences)
    if as_json:
        document = {"schema_version": SCHEMA_VERSION, "said": said}
        click.echo(json.dumps(document, indent=2, ensure_ascii=False))
        return
    for sentence in said:
        click.echo(sentence)
