"""What all documents share: strict models, windows with units in their keys, origins, clashes.

A *clash* is a fault that takes two values to see (low above high, a peak below liquidus). Clashes
are looked for in raw data too, so that one mistyped key does not hide them.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, ClassVar, Literal, NamedTuple, Self, get_args

from pydantic import BaseModel, ConfigDict, Field, GetCoreSchemaHandler, model_validator
from pydantic_core import CoreSchema, PydanticCustomError, core_schema

from heatwright import sentences

Status = Literal[
    "data_sheet", "confirmed", "recomputed", "practice", "memory", "measured", "assumed", "invented"
]
KeyPath = tuple[str | int, ...]


class Window(NamedTuple):
    """What must hold: ``low <= value <= high``; written ``[low, high]`` in a document."""

    low: float
    high: float

    def holds(self, value: float) -> bool:
        """Whether the value lies inside; false for a value that cannot be compared."""
        return self.low <= value <= self.high


@dataclass(frozen=True)
class Between:
    """Tells pydantic how to read a ``Window``: two plain numbers, each inside these bounds."""

    low: float
    high: float

    def __get_pydantic_core_schema__(
        self, source: type[Any], handler: GetCoreSchemaHandler
    ) -> CoreSchema:
        bound = core_schema.float_schema(
            ge=self.low, le=self.high, strict=True, allow_inf_nan=False
        )
        pair = core_schema.tuple_schema([bound, bound], strict=False)
        return core_schema.no_info_after_validator_function(Window._make, pair)


class Clash(NamedTuple):
    """Two values of a document that cannot both be right, said at the key of one of them."""

    path: KeyPath
    what: str
    found: str
    expected: str
    cure: str


class Table(BaseModel):
    """A table of a document: types are exact, unknown keys are refused, nothing changes later."""

    model_config = ConfigDict(strict=True, extra="forbid", frozen=True, allow_inf_nan=False)


class Origin(Table):
    """Where a number comes from, so that a verdict can say how far to trust it."""

    status: Status = Field(description="how well the number is known")
    source: str = Field(min_length=1, description="where the number comes from, in words")


OWN = Origin(status="data_sheet", source="written in the document, no origin given")


class Document(Table):
    """The base of the five documents."""

    kind_of_document: ClassVar[str]

    origin: dict[str, Origin] = Field(
        default_factory=dict, description="where each number comes from, by its key"
    )

    def origin_of(self, key: str) -> Origin:
        """Where the number at this key comes from; the key stands without its table."""
        return self.origin.get(key, OWN)

    @classmethod
    def clashes(cls, data: Mapping[str, Any]) -> Iterator[Clash]:
        """Look for clashes in raw data; keys may be missing or hold the wrong type."""
        yield from _origin_clashes(data.get("origin"), key_names(cls))

    @model_validator(mode="after")
    def _holds_together(self) -> Self:
        found = list(self.clashes(self.model_dump(exclude_none=True)))
        if found:
            text = "; ".join(f"{dotted(clash.path)}: {clash.what}" for clash in found)
            raise PydanticCustomError("clash", "{text}", {"text": text})
        return self


def key_names(model: type[BaseModel]) -> set[str]:
    """Every key that a document of this model may hold, in any of its tables."""
    names = set(model.model_fields)
    for one in model.model_fields.values():
        for kind in (one.annotation, *get_args(one.annotation)):
            if isinstance(kind, type) and issubclass(kind, BaseModel):
                names |= key_names(kind)
    return names


def _origin_clashes(origin: Any, names: set[str]) -> Iterator[Clash]:
    for key in origin if isinstance(origin, Mapping) else ():
        if key not in names:
            close = difflib.get_close_matches(key, names, n=1, cutoff=0.6)
            cure = sentences.DID_YOU_MEAN.format(name=close[0]) if close else sentences.ORIGIN_CURE
            expected = sentences.ORIGIN_EXPECTED
            yield Clash(("origin", key), sentences.ORIGIN_OF_NOTHING, key, expected, cure)


def dotted(path: KeyPath) -> str:
    """``("stages", 2, "to_c")`` as a person reads it: ``stages[3].to_c`` (counted from one)."""
    text = ""
    for step in path:
        text += f"[{step + 1}]" if isinstance(step, int) else f".{step}" if text else step
    return text


def number(data: Mapping[str, Any], *path: str) -> float | None:
    """The number at this path of raw data, or None where there is none."""
    value = _follow(data, path)
    return float(value) if is_number(value) else None


def pair(data: Mapping[str, Any], *path: str) -> Window | None:
    """The window at this path of raw data, or None where there is none."""
    value = _follow(data, path)
    if isinstance(value, list | tuple) and len(value) == 2 and all(map(is_number, value)):
        return Window(*value)
    return None


def _follow(data: Any, path: tuple[str, ...]) -> Any:
    for key in path:
        if not isinstance(data, Mapping):
            return None
        data = data.get(key)
    return data


def is_number(value: Any) -> bool:
    """Whether a raw value is a number; true and false are none."""
    return isinstance(value, int | float) and not isinstance(value, bool)
