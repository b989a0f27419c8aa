"""A virtual board at a pseudo-terminal: mpremote, and everything else that opens a port, drives it.

One loop relays bytes between the host and the chip, answers the chip's frames at the pace of the
clock, and does to the process what resets do to a chip.
"""

from __future__ import annotations

import os
import select
import signal
import time
from contextlib import suppress
from typing import Any

from heatsim.virtual import breaking, frames, mishaps, terminal
from heatsim.virtual.chip import Chip, ChipSetup
from heatsim.virtual.frames import Frame, Gone, Kind
from heatsim.virtual.pace import Pace
from heatsim.virtual.serving import Server, Timing
from heatsim.virtual.workshop import Workshop

CTRL_A, CTRL_B, CTRL_C = b"\x01", b"\x02", b"\x03"
PIECE = 4096
# What a USB stack buffers before the chip notices that nobody reads.
HOST_BUFFER = 1024
RAW_BANNER = b"raw REPL; CTRL-B to exit\r\n>"
# The chip stays out of the simulator's reach in a loop without any call: that long on the wall.
HANG_S = 1.0
IDLE_S = 0.2


class VirtualBoard:
    """`port` is the path to open. `serve()` runs until `stop()` is called."""

    def __init__(self, setup: ChipSetup, workshop: Workshop, speed: float | None = 1.0) -> None:
        self.setup = setup
        self.workshop = workshop
        self.server = Server(workshop, Timing(is_paced=True))
        self.pace = Pace(speed)
        self.resets: list[int] = []
        self._host, self._host_slave = terminal.open_host_side()
        self.port = os.ttyname(self._host_slave)
        self._listener = breaking.Listener(self.port)
        self._running = True
        self._is_cut = False
        self._is_raw = False
        self._to_host = bytearray()
        self._start()

    # --- the chip's life ---

    def _start(self) -> None:
        self._to_chip = bytearray()
        self._hidden: bytearray | None = None
        self._waiting: Frame | None = None
        self._is_mounted = False
        self._heard_s = time.monotonic()
        self._mine, slave = terminal.open_chip_side()
        self.chip = Chip(self.setup, slave, slave, is_terminal=True, prompt_only=self._is_raw)
        os.close(slave)
        self.pace.restart()

    def _end(self) -> None:
        self.chip.kill()
        self._hear_chip()
        os.close(self._mine)

    def _reset(self, cause: int) -> None:
        """A new start of the chip; the host is back at the friendly prompt."""
        self._end()
        self.resets.append(cause)
        self.server.cause = cause
        self._is_raw = False
        self._start()

    def _soft_reset(self) -> None:
        """What Ctrl-D does: pins stay as they are, and a host in raw mode stays in it."""
        self._end()
        self.server.cause = frames.SOFT_RESET
        self._start()
        self._to_host += b"\r\nMPY: soft reboot\r\n"
        if self._is_raw:
            self._to_chip += CTRL_A
            self._hidden = bytearray()

    # --- what can break: `mishaps.Struck` ---

    def cut_power(self) -> None:
        """Power goes and comes back, at the next turn of the loop; from any thread."""
        self._is_cut = True

    def starve(self) -> None:
        """The program stands still, pins as they are, until the watchdog bites, if it runs."""
        if self.server.starve():
            self._reset(frames.WATCHDOG)

    def send(self, data: bytes) -> None:
        """Bytes that the chip hears, as if the host had sent them."""
        self._to_chip += data

    def say(self, data: bytes) -> None:
        """Bytes that the host hears, as if the chip had said them."""
        self._to_host += data

    # --- its end ---

    def stop(self) -> None:
        """Ends `serve`."""
        self._running = False

    def close(self) -> None:
        """Nothing of it is left: no process, no port."""
        self._end()
        self._listener.close()
        os.close(self._host)
        os.close(self._host_slave)

    # --- the loop ---

    def serve(self) -> None:
        """Relay until `stop()`. Raises `serving.Doomed` where the chip must not be served."""
        while self._running:
            self.turn()

    def turn(self) -> None:
        """Wait for the next thing to happen and deal with it."""
        readable, writable, _ = select.select(*self._watched(), self._wait_s())
        if self._host in readable:
            self._hear_host()
        if self._mine in readable:
            self._hear_chip()
        if self.chip.wire in readable:
            self._take_frame()
        if self._listener in readable:
            mishaps.strike(self, self._listener.take())
        if self._host in writable:
            self._flush(self._host, self._to_host)
        if self._mine in writable and self._is_mounted:
            self._flush(self._mine, self._to_chip)
        self._answer_when_due()
        self._see_end()

    def _watched(self) -> tuple[list[Any], list[Any], list[Any]]:
        reading: list[Any] = [self._host, self.chip.wire, self._listener]
        if len(self._to_host) < HOST_BUFFER:
            reading.append(self._mine)
        writing: list[Any] = [self._host] if self._to_host else []
        if self._to_chip and self._is_mounted:
            writing.append(self._mine)
        return reading, writing, []

    def _wait_s(self) -> float:
        if self._waiting is None:
            return IDLE_S
        return min(IDLE_S, self.pace.wait_s(self._waiting.now_us))

    # --- bytes ---

    def _hear_host(self) -> None:
        with suppress(BlockingIOError):
            data = os.read(self._host, PIECE)
            for byte in data:
                if byte in CTRL_A + CTRL_B:
                    self._is_raw = byte == CTRL_A[0]
            self._to_chip += self._without_ctrl_c(data)

    def _without_ctrl_c(self, data: bytes) -> bytes:
        """A signal instead of the byte, while a program runs that catches it."""
        if CTRL_C not in data:
            return data
        if not self._is_mounted:
            return data.replace(CTRL_C, b"")
        if not self.chip.catches_interrupts():
            terminal.pass_ctrl_c(self._mine)
            return data
        self._to_chip.clear()
        os.kill(self.chip.process.pid, signal.SIGINT)
        return data[data.rindex(CTRL_C) + 1 :]

    def _hear_chip(self) -> None:
        # A pseudo-terminal whose last user has gone answers with an error: the chip has ended.
        with suppress(OSError):
            data = os.read(self._mine, PIECE)
            if self._hidden is None:
                self._to_host += data
            else:
                self._hide_until_banner(data)

    def _hide_until_banner(self, data: bytes) -> None:
        # A chip in raw mode shows nothing of the friendly prompt that the unix port begins with.
        assert self._hidden is not None
        self._hidden += data
        at = self._hidden.find(RAW_BANNER)
        if at >= 0:
            self._to_host += self._hidden[at:]
            self._hidden = None

    @staticmethod
    def _flush(number: int, data: bytearray) -> None:
        with suppress(BlockingIOError, OSError):
            del data[: os.write(number, data)]

    # --- frames ---

    def _take_frame(self) -> None:
        try:
            self._waiting = self.server.take(self.chip.wire)
        except Gone:
            self._soft_reset()
            return
        self._heard_s = time.monotonic()

    def _answer_when_due(self) -> None:
        frame = self._waiting
        if frame is None or self.pace.wait_s(frame.now_us) > 0:
            return
        self._waiting = None
        stood_s = self.pace.reached(frame.now_us)
        if stood_s:
            self.workshop.wait(stood_s)
        with suppress(Gone):
            self.server.give(self.chip.wire, frame)
        if frame.kind is Kind.HELLO:
            self._is_mounted = True
        elif frame.kind is Kind.RESET:
            self._reset(frame.first)

    def _see_end(self) -> None:
        if self._is_cut:
            self._is_cut = False
            self._reset(frames.POWER_ON)
        elif self.chip.process.poll() is not None:
            self._hear_chip()
            self._soft_reset()
        elif self._starves():
            self.starve()

    def _starves(self) -> bool:
        """A program that never comes back to the clock, with the watchdog started."""
        last = self.server.last
        silent_s = time.monotonic() - self._heard_s
        if last is None or not last.watchdog_us or self._waiting or not self._is_mounted:
            return False
        return silent_s > HANG_S + last.watchdog_us * 1e-6
