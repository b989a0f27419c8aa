"""What README, guides and every --help print as a command is one; every link leads somewhere."""

from __future__ import annotations

import contextlib
import re
import shlex
from collections.abc import Iterator
from pathlib import Path

import click
import pytest

from heatwright import commands

ROOT = Path(__file__).resolve().parents[3]
PAGES = sorted([*ROOT.glob("*.md"), *(ROOT / "docs").rglob("*.md")])
PROGRAM = "heatwright"
FENCED = re.compile(r"^```[a-z]*\n(.*?)^```", re.M | re.S)
# Code spans, which may be broken over two lines.
SPAN = re.compile(r"`([^`]+)`")
LINK = re.compile(r"\]\(([^)#\s]+)(?:#[^)]*)?\)")
# Where a line of an example ends and what it is for begins.
ASIDE = re.compile(r"\s{2,}|\s#")
GLUED = re.compile(r"\\\n\s*")


# A value, an option or a command that is left open.
LEFT_OUT = (click.MissingParameter, click.BadOptionUsage, click.exceptions.NoArgsIsHelpError)


def fenced() -> Iterator[tuple[str, str]]:
    for page in PAGES:
        for block in FENCED.findall(page.read_text()):
            for line in GLUED.sub("", block).splitlines():
                if line.startswith(f"{PROGRAM} "):
                    yield page.name, ASIDE.split(line)[0]


def spans() -> Iterator[tuple[str, str]]:
    for page in PAGES:
        for span in SPAN.findall(FENCED.sub("", page.read_text())):
            if span.startswith(f"{PROGRAM} "):
                yield page.name, " ".join(span.split())


def walk(command: click.Command, words: str) -> Iterator[tuple[str, click.Command]]:
    yield words, command
    if isinstance(command, click.Group):
        context = click.Context(command)
        for name in command.list_commands(context):
            inner = command.get_command(context, name)
            assert inner is not None
            yield from walk(inner, f"{words} {name}")


def examples() -> Iterator[tuple[str, str]]:
    for words, command in walk(commands.main, PROGRAM):
        for line in (command.epilog or "").splitlines():
            if line.strip().startswith(f"{PROGRAM} "):
                yield f"{words} --help", ASIDE.split(line.strip())[0]


def understand(line: str) -> None:
    """Parse as the program would, up to but without doing anything. Raises click's errors."""
    program, *words = shlex.split(line)
    assert program == PROGRAM
    command: click.Command = commands.main
    while isinstance(command, click.Group):
        if not words or words[0].startswith("-"):
            break
        _, inner, words = command.resolve_command(click.Context(command), words)
        assert inner is not None
        command = inner
    with contextlib.suppress(click.exceptions.Exit):
        command.make_context(line, words)


@pytest.fixture(autouse=True)
def _every_file_is_there(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(click.Path, "convert", lambda self, value, param, ctx: value)


@pytest.mark.parametrize(("where", "line"), [*fenced(), *examples()])
def test_a_printed_command_is_one(where: str, line: str) -> None:
    understand(line)


@pytest.mark.parametrize(("where", "line"), list(spans()))
def test_a_command_named_in_passing_is_one(where: str, line: str) -> None:
    """It may leave out what it needs; what it says must be right."""
    with contextlib.suppress(*LEFT_OUT):
        understand(line)


def test_there_is_something_to_look_at() -> None:
    assert len(list(fenced())) > 15
    assert len(list(spans())) > 30
    assert len(list(examples())) > 50


@pytest.mark.parametrize(
    "line", ["heatwright toast", "heatwright run --on", "heatwright run --x 1"]
)
def test_what_is_none_is_noticed(line: str) -> None:
    with pytest.raises(click.UsageError):
        understand(line)


def test_every_command_has_an_example_of_itself() -> None:
    for entry in commands.ENTRIES:
        command = commands.main.get_command(click.Context(commands.main), entry.name)
        assert command is not None
        assert f"{PROGRAM} {entry.name}" in (command.epilog or ""), entry.name


@pytest.mark.parametrize("page", PAGES, ids=lambda page: str(page.relative_to(ROOT)))
def test_links_lead_to_files_that_are_there(page: Path) -> None:
    targets = [link for link in LINK.findall(page.read_text()) if "://" not in link]
    assert [link for link in targets if not (page.parent / link).exists()] == []


def test_make_has_the_targets_that_are_named() -> None:
    made = set(re.findall(r"^([a-z-]+):", (ROOT / "Makefile").read_text(), re.M))
    named = {
        target
        for page in PAGES
        for text in (*FENCED.findall(page.read_text()), *SPAN.findall(page.read_text()))
        for target in re.findall(r"^\s*make ([a-z-]+)", text, re.M)
    }
    assert len(named) > 3
    assert named <= made
