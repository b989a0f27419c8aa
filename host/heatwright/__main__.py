"""The `heatwright` command: runs it and turns errors into sentences and exit codes."""

from __future__ import annotations

import os
import sys

import click

from heatwright import commands, sentences
from heatwright.errors import EXIT_INTERRUPTED, EXIT_UNEXPECTED, HeatwrightError


def main() -> None:
    """Run the command line and leave with the exit codes of ``errors``."""
    sys.exit(run(sys.argv[1:]))


def run(arguments: list[str]) -> int:
    """Run one command; returns its exit code. Only an unexpected error with tracing on escapes."""
    try:
        result = commands.main(args=arguments, prog_name="heatwright", standalone_mode=False)
    except HeatwrightError as error:
        return complain(str(error), error.exit_code)
    except click.ClickException as error:
        error.show()
        return error.exit_code
    except (KeyboardInterrupt, click.Abort):
        return complain(sentences.INTERRUPTED, EXIT_INTERRUPTED)
    except (BrokenPipeError, SystemExit):
        # Click turns a broken pipe into SystemExit, and nothing else
        return close_broken_pipe()
    except Exception as error:
        if os.environ.get("HEATWRIGHT_TRACEBACK"):
            raise
        return complain(sentences.UNEXPECTED.format(error=repr(error)), EXIT_UNEXPECTED)
    return result if isinstance(result, int) else 0


def complain(sentence: str, exit_code: int) -> int:
    click.echo(sentence, err=True)
    return exit_code


def close_broken_pipe() -> int:
    # the reader has gone (`| head`): a second error at interpreter exit would help nobody
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    return 0


if __name__ == "__main__":
    main()
