"""The JSON Schema of each document, written out of its model."""

from __future__ import annotations

import json
from typing import Any

from heatwright.documents.base import Document
from heatwright.documents.board import Board
from heatwright.documents.expectations import schema_of
from heatwright.documents.part import Part
from heatwright.documents.paste import Paste
from heatwright.documents.profile import Profile
from heatwright.documents.source import Source

MODELS: dict[str, type[Document]] = {
    model.kind_of_document: model for model in (Paste, Part, Board, Source, Profile)
}
DIALECT = "https://json-schema.org/draft/2020-12/schema"


def json_schema(kind: str) -> dict[str, Any]:
    """The JSON Schema (2020-12) of one kind of document."""
    return {"$schema": DIALECT, **schema_of(MODELS[kind])}


def json_schema_text(kind: str) -> str:
    """The same as text, indented, with a newline at its end."""
    return json.dumps(json_schema(kind), indent=2, ensure_ascii=False) + "\n"


def file_name(kind: str) -> str:
    """The name of a schema's file; documents point editors to it in their first line."""
    return f"{kind}.schema.json"
