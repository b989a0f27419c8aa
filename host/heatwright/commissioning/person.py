"""The person at the bench: asked, told, and in tests replaced by a file of answers."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Protocol

import click

from heatwright import sentences
from heatwright.errors import BadInput, Fault

QUESTIONS = ("cautions", "meter", "boiling_water", "relay", "ssr", "ready_for_mains")


class Person(Protocol):
    """Whoever carries a cold check out."""

    def agree(self, key: str, text: str) -> bool:
        """Put a question of yes or no; `key` is one of `QUESTIONS`."""
        ...

    def please(self, key: str, text: str) -> None:
        """Ask for something to be done now; what follows is watched, not asked."""
        ...


class AtTerminal:
    """Asks at the terminal. Follows `Person`."""

    def agree(self, key: str, text: str) -> bool:
        return click.confirm(text)

    def please(self, key: str, text: str) -> None:
        click.echo(text)


class FromFile:
    """Answers as a TOML file says, `key = true`; a question that it leaves out is a no.

    Raises `BadInput` for a file with anything else in it.
    """

    def __init__(self, path: Path) -> None:
        try:
            self._answers = tomllib.loads(path.read_text(encoding="utf-8"))
        except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
            raise BadInput(Fault(sentences.ANSWERS_UNREADABLE, str(path), str(error))) from error
        wrong = [k for k, v in self._answers.items() if k not in QUESTIONS or type(v) is not bool]
        if wrong:
            expected = ", ".join(f"{key} = true" for key in QUESTIONS)
            raise BadInput(Fault(sentences.ANSWERS_WRONG, str(path), ", ".join(wrong), expected))

    def agree(self, key: str, text: str) -> bool:
        answer = bool(self._answers.get(key, False))
        click.echo(f"{text} {'yes' if answer else 'no'}")
        return answer

    def please(self, key: str, text: str) -> None:
        click.echo(text)
