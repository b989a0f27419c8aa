"""Asked for JSON, every command that can give it gives its errors as one JSON document too."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import click
import pytest

from heatwright import commands
from heatwright.__main__ import JSON, run
from heatwright.errors import EXIT_BAD_INPUT, EXIT_INTERRUPTED, EXIT_NO_CONTROLLER, EXIT_UNEXPECTED

PARTS = {"what", "where", "found", "expected", "cure"}
# One thing wrong for each command: its words, the exit code, and what the error names. A file
# named "a-file" is there.
WRONG = {
    "coach": (["--source", "nope"], EXIT_BAD_INPUT, "nope"),
    "controller hello": (["--port", "/dev/ttyNOTHING"], EXIT_NO_CONTROLLER, "/dev/ttyNOTHING"),
    "demo": (["--http-port", "x"], EXIT_BAD_INPUT, "--http-port"),
    "faults": (["--on", "toaster"], EXIT_BAD_INPUT, "sim:NAME"),
    "judge": (["missing"], EXIT_BAD_INPUT, "missing"),
    "mark": (["missing"], EXIT_BAD_INPUT, "missing"),
    "measure": (["missing.csv", "--kind", "toaster"], EXIT_BAD_INPUT, "missing.csv"),
    "plan": (["--source", "nope"], EXIT_BAD_INPUT, "nope"),
    "refine": (["missing.json", "missing"], EXIT_BAD_INPUT, "missing"),
    "replay": (["missing"], EXIT_BAD_INPUT, "missing"),
    "run": (["--on", "sim:nope"], EXIT_BAD_INPUT, "nope"),
    "runs compare": (["x", "y"], EXIT_BAD_INPUT, "there is no archive"),
    "runs list": (["--verdict", "splendid"], EXIT_BAD_INPUT, "splendid"),
    "runs show": (["x"], EXIT_BAD_INPUT, "there is no archive"),
    "schema": (["--out", "a-file/in"], EXIT_BAD_INPUT, "a-file/in"),
    "setup-check": (["--board", "nope"], EXIT_BAD_INPUT, "nope"),
    "source-error": (["toaster", "missing"], EXIT_BAD_INPUT, "missing"),
}


def with_json(command: click.Command, words: str) -> Iterator[str]:
    if isinstance(command, click.Group):
        for name, inner in command.commands.items():
            yield from with_json(inner, f"{words} {name}")
    elif any(JSON in parameter.opts for parameter in command.params):
        yield words


def commands_with_json() -> list[str]:
    context = click.Context(commands.main)
    found = []
    for entry in commands.ENTRIES:
        command = commands.main.get_command(context, entry.name)
        assert command is not None
        found += with_json(command, entry.name)
    return sorted(found)


def said(capsys: pytest.CaptureFixture[str]) -> tuple[dict[str, Any], str]:
    """The document on standard output, the only thing there, and what the person reads."""
    out, err = capsys.readouterr()
    document = json.loads(out)
    assert set(document) == {"schema_version", "error"}
    assert all(set(fault) == PARTS for fault in document["error"]["faults"])
    return document["error"], err


def test_every_command_with_json_has_its_row() -> None:
    assert commands_with_json() == sorted(WRONG)


@pytest.mark.parametrize("command", sorted(WRONG))
def test_what_is_wrong_is_told_to_programs_and_to_the_person(
    command: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("a-file").touch()
    words, code, name = WRONG[command]
    assert run([*command.split(), *words, JSON]) == code
    error, err = said(capsys)
    assert error["exit_code"] == code
    fault = error["faults"][0]
    assert name in " ".join(fault.values())
    assert fault["what"] in err


@pytest.mark.parametrize("command", sorted(WRONG))
def test_a_word_that_no_command_knows(command: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run([*command.split(), JSON, "--no-such-thing"]) == EXIT_BAD_INPUT
    error, err = said(capsys)
    assert "--no-such-thing" in error["faults"][0]["what"]
    assert error["faults"][0]["cure"] == f"heatwright {command} --help"
    assert "--no-such-thing" in err


@pytest.mark.parametrize(
    ("raised", "code"), [(KeyboardInterrupt, EXIT_INTERRUPTED), (ValueError, EXIT_UNEXPECTED)]
)
def test_what_nobody_foresaw_is_a_document_too(
    raised: type[BaseException],
    code: int,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    def broken(**_: Any) -> None:
        raise raised

    monkeypatch.setattr(commands, "main", broken)
    assert run(["judge", "x", JSON]) == code
    error, err = said(capsys)
    assert error["exit_code"] == code
    # where something was recorded, whatever recorded it has said so
    assert "recorded" not in err
    assert "kept" not in err


def test_without_json_standard_output_stays_empty(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["run", "--on", "sim:nope"]) == EXIT_BAD_INPUT
    out, err = capsys.readouterr()
    assert not out
    assert "nope" in err
