"""The documents a person writes: models, checks, the shipped library, JSON Schemas."""

from heatwright.documents.base import Origin, Window
from heatwright.documents.board import Board, Placement
from heatwright.documents.jstd020 import PartLimits
from heatwright.documents.library import (
    load_board,
    load_part,
    load_parts,
    load_paste,
    load_profile,
    load_source,
    locate,
    shipped,
)
from heatwright.documents.part import Part
from heatwright.documents.paste import Paste, PasteWindow
from heatwright.documents.profile import Knot, Profile, Stage
from heatwright.documents.reading import parse_document, read_document
from heatwright.documents.source import Source
from heatwright.documents.writing import document_text, write_beside, write_document

__all__ = [
    "Board",
    "Knot",
    "Origin",
    "Part",
    "PartLimits",
    "Paste",
    "PasteWindow",
    "Placement",
    "Profile",
    "Source",
    "Stage",
    "Window",
    "document_text",
    "load_board",
    "load_part",
    "load_parts",
    "load_paste",
    "load_profile",
    "load_source",
    "locate",
    "parse_document",
    "read_document",
    "shipped",
    "write_beside",
    "write_document",
]
