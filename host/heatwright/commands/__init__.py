"""The commands, one file each, loaded only when called: SciPy and Matplotlib take over a second."""

from __future__ import annotations

from importlib import import_module
from typing import NamedTuple

import click

from heatwright.sentences import WHAT_EXISTS

LOOP, TRY, CONTROLLER, RECORDS, HELP = "the loop", "try", "controller", "records", "help"


class Entry(NamedTuple):
    section: str
    name: str
    summary: str

    @property
    def module(self) -> str:
        return f"{__name__}.{self.name.replace('-', '_')}"


ENTRIES = (
    Entry(LOOP, "describe", "Write down paste, parts and board, one question at a time."),
    Entry(LOOP, "measure", "Learn a heat source: a guided run, or records, become its file."),
    Entry(LOOP, "plan", "Find the nearest good profile that this source can follow."),
    Entry(LOOP, "run", "Run a plan or profile on a simulated, plugged-in or real source."),
    Entry(LOOP, "judge", "Judge a recorded run against the paste's windows."),
    Entry(LOOP, "refine", "Make a plan better from the runs made with it."),
    Entry(TRY, "demo", "See the whole job on a simulated oven."),
    Entry(TRY, "page", "The page beside the oven: choose, run, stop, judge in a browser."),
    Entry(TRY, "coach", "Sand, hot plate, hot air: be told what your hand should do, in time."),
    Entry(TRY, "faults", "Break everything in simulation: what is seen, how soon, what is not."),
    Entry(CONTROLLER, "flash", "Put the firmware on a microcontroller."),
    Entry(CONTROLLER, "cold-check", "Check a newly wired controller, step by step."),
    Entry(CONTROLLER, "controller", "Talk to a controller: hello, plans, log, clear."),
    Entry(CONTROLLER, "hil", "Hardware-in-loop tests on a controller without heat."),
    Entry(RECORDS, "runs", "List, compare, import, export the runs that were recorded."),
    Entry(RECORDS, "mark", "Mark the instant the solder melted; the source file learns from it."),
    Entry(RECORDS, "replay", "Run a record through the core again, or through another plan."),
    Entry(RECORDS, "report", "One self-contained page on a run, as HTML or PDF."),
    Entry(RECORDS, "source-error", "How far a source file lies from a record."),
    Entry(HELP, "setup-check", "Check documents and print; a checklist before the run."),
    Entry(HELP, "schema", "Write the JSON Schemas of the documents, for your editor."),
)


class CommandGroup(click.Group):
    """Lists the commands in the order of the work and loads a command's file when it is called."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return [entry.name for entry in ENTRIES]

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        entry = next((entry for entry in ENTRIES if entry.name == cmd_name), None)
        if entry is None:
            return None
        command: click.Command = import_module(entry.module).command
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        for section in dict.fromkeys(entry.section for entry in ENTRIES):
            rows = [(e.name, e.summary) for e in ENTRIES if e.section == section]
            with formatter.section(section.capitalize()):
                formatter.write_dl(rows)


@click.group(cls=CommandGroup, invoke_without_command=True)
@click.version_option(package_name="heatwright")
@click.pass_context
def main(ctx: click.Context) -> None:
    """Reflow your own boards at home: from solder paste to good joints, with the heat you have."""
    if ctx.invoked_subcommand is None:
        names = (
            " ".join(ctx.command.list_commands(ctx)) if isinstance(ctx.command, click.Group) else ""
        )
        click.echo(WHAT_EXISTS.format(commands=names, next_command="demo"))
