"""A question: the key it fills, the words a data sheet uses, and what stands there by default."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from heatwright import sentences
from heatwright.documents.base import Document
from heatwright.documents.describing import answers

Values = Mapping[str, Any]
Default = Callable[[Values], Any]
Reads = Callable[[str], Any]


def nothing(_: Values) -> Any:
    """No default: the key is left out where no answer is given."""
    return None


def always(_: Values) -> bool:
    return True


@dataclass(frozen=True)
class Question:
    """One thing to ask; without a default, and needed, it can't be passed over."""

    key: str
    words: str
    expected: str
    read: Reads
    default: Default = nothing
    needed: bool = False
    asked_when: Callable[[Values], bool] = always

    def asking(self, values: Values) -> str:
        """The question as a person reads it, its range and its default with it."""
        default = self.default(values)
        if default is not None:
            tail = sentences.DEFAULT_IS.format(default=typed(default))
        else:
            tail = "" if self.needed else sentences.MAY_BE_EMPTY
        return f"{self.words}\n  ({self.expected}{tail})"


def of(
    model: type[Document],
    key: str,
    words: str,
    default: Default = nothing,
    needed: bool = False,
    asked_when: Callable[[Values], bool] = always,
) -> Question:
    """A question whose answer goes into a document's key as it stands."""
    expected = answers.expected(model, key)
    return Question(
        key,
        words,
        expected,
        lambda text: answers.read(model, key, text),
        default,
        needed,
        asked_when,
    )


def fixed(value: Any) -> Default:
    """The same default whatever was answered before."""
    return lambda _: value


def typed(value: Any) -> str:
    """A value as one would type it."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, tuple):
        return " to ".join(f"{one:g}" for one in value)
    if isinstance(value, list):
        return ", ".join(map(str, value)) or "none"
    return f"{value:g}" if isinstance(value, float) else str(value)
