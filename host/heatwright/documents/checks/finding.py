"""One thing that a check found, and how grave it is."""

from __future__ import annotations

from typing import Literal, NamedTuple

Level = Literal["refuse", "warn", "note"]


class Finding(NamedTuple):
    """``code`` names the rule for programs, ``text`` says it to a person."""

    level: Level
    code: str
    text: str
