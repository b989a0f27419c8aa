"""`heatwright schema`: the JSON Schemas of the documents, for editors and for the curious."""

from __future__ import annotations

import json
from pathlib import Path

import click

from heatwright import sentences
from heatwright.documents.schema import MODELS, file_name, json_schema, json_schema_text
from heatwright.documents.writing import write_beside
from heatwright.errors import BadInput, Fault

SCHEMA_VERSION = 1

EXAMPLES = """\b
Examples:
  heatwright schema                      what documents there are
  heatwright schema paste                print one schema
  heatwright schema --out schemas        write all five as files
  heatwright schema profile --out .      write one
  heatwright schema --json               all five in one JSON document
"""


@click.command(epilog=EXAMPLES)
@click.argument("document", required=False, type=click.Choice(list(MODELS)))
@click.option("--out", type=click.Path(path_type=Path), help="Write files into this folder.")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON document.")
def command(document: str | None, out: Path | None, as_json: bool) -> None:
    """Write the JSON Schemas of the documents: every key, its unit, its range, its meaning."""
    kinds = [document] if document else list(MODELS)
    if out:
        _write(kinds, out)
    if as_json:
        schemas = {kind: json_schema(kind) for kind in kinds}
        click.echo(json.dumps({"schema_version": SCHEMA_VERSION, "documents": schemas}))
    elif not out:
        click.echo(json_schema_text(document) if document else _overview(), nl=not document)


def _write(kinds: list[str], folder: Path) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        what = sentences.NO_FOLDER.format(reason=error.strerror)
        raise BadInput(Fault(what, str(folder), cure=sentences.NO_FOLDER_CURE)) from error
    for kind in kinds:
        path = folder / file_name(kind)
        write_beside(path, json_schema_text(kind))
        click.echo(sentences.WROTE.format(path=path), err=True)


def _overview() -> str:
    lines = [f"  {kind:8} {(model.__doc__ or '').strip()}" for kind, model in MODELS.items()]
    return sentences.SCHEMA_OVERVIEW.format(documents="\n".join(lines))
