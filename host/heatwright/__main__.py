"""The `heatwright` command: runs it and turns errors into sentences and exit codes."""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Sequence
from dataclasses import asdict

import click

from heatwright import commands, sentences
from heatwright.errors import EXIT_INTERRUPTED, EXIT_UNEXPECTED, Fault, HeatwrightError

JSON = "--json"
SCHEMA_VERSION = 1


def main() -> None:
    """Run the command line and leave with the exit codes of ``errors``."""
    sys.exit(run(sys.argv[1:]))


def run(arguments: list[str]) -> int:
    """Run one command; returns its exit code. Only an unexpected error with tracing on escapes.

    Where the command was asked for JSON, its error is one JSON document on standard output too.
    """
    try:
        result = commands.main(args=arguments, prog_name="heatwright", standalone_mode=False)
    except (BrokenPipeError, SystemExit):
        # Click turns a broken pipe into SystemExit, and nothing else
        return close_broken_pipe()
    except (Exception, KeyboardInterrupt) as error:
        code, faults = told(error)
        if JSON in arguments:
            click.echo(as_json(code, faults))
        return code
    return result if isinstance(result, int) else 0


def told(error: BaseException) -> tuple[int, tuple[Fault, ...]]:
    """Say an error to the person; returns the exit code, and what is wrong in its parts."""
    if isinstance(error, HeatwrightError):
        return complain(str(error), error.exit_code), error.as_faults()
    if isinstance(error, click.ClickException):
        error.show()
        return error.exit_code, (of_command_line(error),)
    if isinstance(error, (KeyboardInterrupt, click.Abort)):
        sentence, code = sentences.INTERRUPTED, EXIT_INTERRUPTED
    elif os.environ.get("HEATWRIGHT_TRACEBACK"):
        raise error
    else:
        sentence, code = sentences.UNEXPECTED.format(error=repr(error)), EXIT_UNEXPECTED
    return complain(sentence, code), (Fault(sentence),)


def of_command_line(error: click.ClickException) -> Fault:
    """What is wrong with the words of the command, and where its help is."""
    context = getattr(error, "ctx", None)
    where = context.command_path if context else "heatwright"
    return Fault(error.format_message(), where, cure=f"{where} --help")


def as_json(exit_code: int, faults: Sequence[Fault]) -> str:
    """The document of an error: each fault with what, where, found, expected, cure."""
    error = {"exit_code": exit_code, "faults": [asdict(fault) for fault in faults]}
    return json.dumps({"schema_version": SCHEMA_VERSION, "error": error}, indent=2,
                      ensure_ascii=False)  # fmt: skip


def complain(sentence: str, exit_code: int) -> int:
    click.echo(sentence, err=True)
    return exit_code


def close_broken_pipe() -> int:
    # the reader has gone (`| head`): a second error at interpreter exit would help nobody
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    return 0


if __name__ == "__main__":
    main()
