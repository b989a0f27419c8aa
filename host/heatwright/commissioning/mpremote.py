"""Drives mpremote, the MicroPython project's own tool, as a subprocess."""

from __future__ import annotations

import json
import subprocess
import sys
import time
from contextlib import closing
from pathlib import Path
from typing import Any

from heatwright import sentences
from heatwright.errors import Fault, NoController
from heatwright.running.ports import boot_loader_present, open_port

EXEC_S = 60.0
COPY_S = 300.0
# MicroPython answers within a tenth of a second; a program in the middle of a flash write, one.
PROMPT_S = 5.0
ASK_AGAIN_S = 1.0
CTRL_B, CTRL_C, PROMPT = b"\x02", b"\x03", b">>> "
SAID_BYTES = 256


class Mpremote:
    """The chip at a port, at its prompt. Every call raises `NoController` where that fails.

    Never with mpremote's own soft reset before each command: boot.py would take hold of the
    heater's pins.
    """

    def __init__(self, port: str) -> None:
        self.port = port

    def await_prompt(self) -> None:
        """Break off whatever runs. mpremote would wait long for a chip that has no MicroPython."""
        with closing(open_port(self.port)) as port:
            end_s = time.monotonic() + PROMPT_S
            said = b""
            while time.monotonic() < end_s:
                port.write(CTRL_C + CTRL_C + CTRL_B)
                pause_s = time.monotonic() + ASK_AGAIN_S
                while time.monotonic() < pause_s:
                    said = (said + port.read(SAID_BYTES))[-SAID_BYTES:]
                    if PROMPT in said:
                        return
        raise self._no_prompt("")

    def soft_reset(self, first: str) -> None:
        """Run code on the chip, then start it anew up to its prompt: boot.py, but not main.py."""
        self._run(EXEC_S, "exec", first, "+", "soft-reset")

    def evaluate(self, code: str) -> list[Any]:
        """Run code on the chip; returns the lines that it printed, each read as JSON."""
        told = self._run(EXEC_S, "exec", code)
        try:
            found = [json.loads(line) for line in told.split("\n") if line.strip()]
        except ValueError as error:
            raise self._fault(told) from error
        if not found:
            raise self._fault("")
        return found

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
            return self._no_prompt(last)
        if "in use" in told:
            return NoController(
                Fault(sentences.PORT_BUSY, self.port, cure=sentences.PORT_BUSY_CURE)
            )
        return NoController(
            Fault(sentences.PROMPT_FAILED, self.port, last, cure=sentences.PROMPT_FAILED_CURE)
        )

    def _no_prompt(self, found: str) -> NoController:
        cure = sentences.BOOT_LOADER_CURE if boot_loader_present() else sentences.NO_PROMPT_CURE
        return NoController(Fault(sentences.NO_PROMPT, self.port, found, cure=cure))
