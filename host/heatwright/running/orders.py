"""Orders of the person at the keyboard: Ctrl-C, a polite kill, and keys where there is a terminal.

A signal only leaves a note, so that no line of the record is cut in half: the run stops the
heater within a tick and goes on recording until it is proven off. A second Ctrl-C does not wait.
"""

from __future__ import annotations

import os
import select
import signal
import sys
from collections.abc import Callable, Iterator
from types import FrameType
from typing import Any

KEYS = {"s": "stop", "m": "mark", "n": "not_melted", "u": "unmark", "p": "start"}


class Keyboard:
    """Follows `session.Orders`. A context: signals are as before once it is left."""

    def __init__(
        self, tell: Callable[[str], None], stopping: str, stdin: int | None = None
    ) -> None:
        """``stopping`` is told when the first signal comes; ``stdin`` None: only a terminal's."""
        self.interrupted = False
        self._waiting: list[str] = []
        self._tell = tell
        self._stopping = stopping
        self._stdin = _terminal() if stdin is None else stdin
        self._before: dict[int, Any] = {}

    def __enter__(self) -> Keyboard:
        self._before = {
            signal.SIGINT: signal.signal(signal.SIGINT, self._on_interrupt),
            signal.SIGTERM: signal.signal(signal.SIGTERM, self._on_terminate),
        }
        return self

    def __exit__(self, *exc: object) -> None:
        for number, handler in self._before.items():
            signal.signal(number, handler)

    def _on_interrupt(self, number: int, frame: FrameType | None) -> None:
        if self.interrupted:
            raise KeyboardInterrupt
        self.interrupted = True
        self._on_terminate(number, frame)

    def _on_terminate(self, number: int, frame: FrameType | None) -> None:
        self._waiting.append("stop")
        self._tell(self._stopping)

    def waiting(self) -> Iterator[str]:
        """The orders since the last call, oldest first."""
        self._read_keys()
        while self._waiting:
            yield self._waiting.pop(0)

    def _read_keys(self) -> None:
        if self._stdin is None or not select.select([self._stdin], [], [], 0)[0]:
            return
        typed = os.read(self._stdin, 1000)
        if not typed:
            # the terminal has gone: select would say "ready" for ever
            self._stdin = None
        keys = typed.decode(errors="replace").split()
        self._waiting += [KEYS[key] for key in keys if key in KEYS]


def _terminal() -> int | None:
    return sys.stdin.fileno() if sys.stdin and sys.stdin.isatty() else None
