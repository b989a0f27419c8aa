"""Plants of a person's own, as text to be put in a folder, and how to run the command there."""

import json
import os
import subprocess
import sys
from pathlib import Path

from click.testing import CliRunner, Result

from heatwright.commands.run import command

# A box of one lump with a lagging board in it: thirty lines, as anybody could write them.
BOX = """
class Box:
    def __init__(self, watts=900.0):
        self.watts = watts

    def reset(self, ambient_c):
        self.room = self.air = self.board = ambient_c

    def step(self, dt_s, duty, door, fan, mains):
        heat = self.watts * duty * mains**2
        self.air += dt_s / 150 * (heat - (1.6 + 6 * door) * (self.air - self.room))
        self.board += dt_s / 25 * (self.air - self.board)
        return {"board": self.board, "sensor": self.air, "board_sensor": self.board}


def make():
    return Box()


class RunsAway(Box):
    def step(self, *arguments):
        found = super().step(*arguments)
        if found["sensor"] > 120:
            self.air += 2.0
        return found


class Breaks(Box):
    def step(self, *arguments):
        found = super().step(*arguments)
        return found if found["sensor"] < 60 else {"sensor": found["sensor"]}


class BreaksAtOnce(Box):
    def step(self, *arguments):
        return {"sensor": 25.0}
"""

HEATWRIGHT = [sys.executable, "-m", "heatwright"]


def run_in(folder: Path, *arguments: str) -> Result:
    """``heatwright run`` in this process, in a folder that holds ``box.py``."""
    (folder / "box.py").write_text(BOX)
    sys.modules.pop("box", None)
    here = Path.cwd()
    os.chdir(folder)
    try:
        return CliRunner().invoke(command, list(arguments))
    finally:
        os.chdir(here)
        sys.modules.pop("box", None)


def begin(folder: Path, *arguments: str, **options: object) -> subprocess.Popen[bytes]:
    """``heatwright`` in a process of its own, in a folder that holds ``box.py``."""
    (folder / "box.py").write_text(BOX)
    streams = {"stdout": subprocess.PIPE, "stderr": subprocess.PIPE, "stdin": subprocess.DEVNULL}
    return subprocess.Popen([*HEATWRIGHT, *arguments], cwd=folder, **(streams | options))


def document(result: Result) -> dict[str, object]:
    """The JSON document on standard output, which must hold nothing else."""
    found: dict[str, object] = json.loads(result.stdout)
    return found
