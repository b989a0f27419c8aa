"""Drives mpremote, the MicroPython project's own tool, as a subprocess."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

from heatwright import sentences
from heatwright.errors import Fault, NoController
from heatwright.running.ports import boot_loader_present

EXEC_S = 60.0
COPY_S = 300.0


class Mpremote:
    """The chip at a port, at its prompt. Every call raises `NoController` where that fails.

    Never with a soft reset first: it would run boot.py, which takes hold of the heater's pins.
    """

    def __init__(self, port: str) -> None:
        self.port = port

    def evaluate(self, code: str, first: str = "pass") -> Any:
        """Run code on the chip, after `first`; returns what it printed, read as JSON."""
        told = self._run(EXEC_S, "exec", first, "+", "exec", code)
        try:
            return json.loads(told.strip().splitlines()[-1])
        except (ValueError, IndexError) as error:
            raise self._fault(told) from error

    def execute(self, code: str) -> None:
        """Run code on the chip."""
        self._run(EXEC_S, "exec", code)

    def copy(self, folder: Path, paths: list[str]) -> None:
        """Copy files of a folder to the same paths on the chip, in this order."""
        commands: list[str] = []
        for path in paths:
            commands += ["fs", "cp", "-f", str(folder / path), f":/{path}", "+"]
        self._run(COPY_S, *commands[:-1])

    def reset(self) -> None:
        """A hard reset: the chip starts anew."""
        self._run(EXEC_S, "reset")

    def _run(self, limit_s: float, *words: str) -> str:
        command = [sys.executable, "-m", "mpremote", "connect", self.port, "resume", *words]
        try:
            done = subprocess.run(command, capture_output=True, text=True, timeout=limit_s)
        except subprocess.TimeoutExpired as error:
            raise self._fault(str(error)) from error
        if done.returncode:
            raise self._fault((done.stderr + done.stdout).strip())
        return done.stdout

    def _fault(self, told: str) -> NoController:
        last = told.strip().splitlines()[-1] if told.strip() else ""
        if "raw repl" in told or "raw REPL" in told:
            cure = sentences.BOOT_LOADER_CURE if boot_loader_present() else sentences.NO_PROMPT_CURE
            return NoController(Fault(sentences.NO_PROMPT, self.port, last, cure=cure))
        if "in use" in told:
            return NoController(
                Fault(sentences.PORT_BUSY, self.port, cure=sentences.PORT_BUSY_CURE)
            )
        return NoController(
            Fault(sentences.PROMPT_FAILED, self.port, last, cure=sentences.PROMPT_FAILED_CURE)
        )
