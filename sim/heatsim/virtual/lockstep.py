"""The firmware, unmodified, on the unix port of MicroPython, in virtual time at full speed.

The USB port is a pair of pipes. The chip's clock stands still whenever it asks for something, and
nothing here reads the wall's clock: the same firmware, plan and orders give the same bytes.
"""

from __future__ import annotations

import os
import select
from collections.abc import Callable
from contextlib import suppress

from heatsim.virtual import frames
from heatsim.virtual.chip import Chip, ChipSetup
from heatsim.virtual.frames import Frame, Gone, Kind
from heatsim.virtual.serving import Server, Timing
from heatsim.virtual.workshop import Workshop

MOST_READ = 65536
# A program that computes for this long without asking for anything hangs: a tick takes far less.
HANG_S = 1.0
# Of a chip whose process has ended: its traceback.
LAST_WORDS = 800


class LockstepController:
    """A virtual controller. A context: the child process is gone once it is left.

    `heard` collects what came out of the USB port and was not taken yet. `takes_output` False is a
    host that opens the port and reads nothing.
    """

    def __init__(self, setup: ChipSetup, workshop: Workshop, timing: Timing | None = None) -> None:
        self.setup = setup
        self.workshop = workshop
        self.server = Server(workshop, timing or Timing())
        self.heard = bytearray()
        self.takes_output = True
        self.resets: list[int] = []
        self._start()

    def _start(self) -> None:
        stdin, self._to_chip = os.pipe()
        self._from_chip, stdout = os.pipe()
        os.set_blocking(self._from_chip, False)
        self.chip = Chip(self.setup, stdin, stdout)
        os.close(stdin)
        os.close(stdout)

    def __enter__(self) -> LockstepController:
        return self

    def __exit__(self, *exc: object) -> None:
        self.chip.kill()
        self._hang_up()

    def _hang_up(self) -> None:
        self._drain()
        os.close(self._to_chip)
        os.close(self._from_chip)

    def send(self, data: bytes) -> None:
        """Put bytes on the USB port; the chip finds them the next time that it looks."""
        os.write(self._to_chip, data)

    def say(self, data: bytes) -> None:
        """Bytes that the host hears, as if they came out of the USB port."""
        self.heard += data

    def step(self) -> Frame:
        """Let the chip go on to its next question. A reset starts it again. Raises `Gone`.

        A program that hangs is ended by the watchdog that it started, if it did.
        """
        if self._hangs():
            self.starve()
        try:
            frame = self.server.serve(self.chip.wire)
        except Gone as gone:
            self._drain()
            last_words = bytes(self.heard[-LAST_WORDS:]).decode(errors="replace")
            raise Gone(last_words) from gone
        if frame.kind is Kind.RESET:
            self.restart(frame.first)
        elif self.takes_output:
            self._drain()
        return frame

    def _hangs(self) -> bool:
        last = self.server.last
        if last is None or not last.watchdog_us or self._asks():
            return False
        began_s = self.chip.computed_s()
        while not self._asks():
            if self.chip.computed_s() - began_s > HANG_S:
                return True
        return False

    def _asks(self) -> bool:
        return bool(select.select([self.chip.wire], [], [], HANG_S)[0])

    def starve(self) -> None:
        """The program stands still, pins as they are, until the watchdog bites, if it runs."""
        if self.server.starve():
            self.restart(frames.WATCHDOG)

    def restart(self, cause: int) -> None:
        """End this start of the chip and begin another: a reset, or power that came back."""
        self.chip.kill()
        self._hang_up()
        self.resets.append(cause)
        self.server.cause = cause
        self._start()

    def cut_power(self) -> None:
        """Power goes at this instant and comes back."""
        self.restart(frames.POWER_ON)

    def run_until(self, done: Callable[[], bool], most_s: float) -> bool:
        """Step until `done()`, at most `most_s` of simulated time; returns whether it came."""
        end_s = self.workshop.time_s + most_s
        while self.workshop.time_s < end_s:
            if done():
                return True
            self.step()
        return done()

    def lines(self) -> list[bytes]:
        """The whole lines that came out since the last call."""
        whole, _, rest = bytes(self.heard).rpartition(b"\n")
        self.heard[:] = rest
        return [line + b"\n" for line in whole.split(b"\n")] if whole else []

    def _drain(self) -> None:
        with suppress(BlockingIOError):
            while piece := os.read(self._from_chip, MOST_READ):
                self.heard += piece


class LockstepPort:
    """The USB port of a lockstep controller, as a serial port: reading lets virtual time go on."""

    def __init__(self, controller: LockstepController) -> None:
        self._controller = controller

    @property
    def in_waiting(self) -> int:
        return len(self._controller.heard)

    def read(self, size: int = 1) -> bytes:
        """What there is; where there is nothing, the chip goes on to its next question."""
        if not self._controller.heard:
            self._controller.step()
        taken = bytes(self._controller.heard[:size])
        del self._controller.heard[:size]
        return taken

    def write(self, data: bytes) -> int:
        self._controller.send(data)
        return len(data)

    def close(self) -> None:
        """The port closes; the controller goes on."""
