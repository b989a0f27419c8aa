"""Answers the chip's frames from the workshop, in lockstep and at a pseudo-terminal alike."""

from __future__ import annotations

import socket
from dataclasses import dataclass

from heatsim.virtual import frames
from heatsim.virtual.frames import Frame, Greeting, Kind
from heatsim.virtual.workshop import PANEL_ADDRESS, Workshop

US = 1e-6
# Without a watchdog nothing ends a hang: watched for so long.
FOR_GOOD_S = 60.0


class Doomed(Exception):
    """The chip could not cover the laptop's files with its own, and must be killed at once."""


@dataclass
class Timing:
    """How time passes on this chip. What real chips spend on writes and ticks can be charged."""

    is_paced: bool = False
    quantum_us: int = 0
    # On each reading of a converter: what a whole tick costs in computing.
    tick_us: int = 0
    # What each write to the chip's file system stands it still for.
    flash_ms: int = 0
    # Collect and report the free heap at each reading: slower.
    reports_memory: bool = False


class Server:
    """Serves one chip after another; `reset` holds why the last one wants to start again."""

    def __init__(self, workshop: Workshop, timing: Timing) -> None:
        self.workshop = workshop
        self.timing = timing
        self.cause = frames.POWER_ON
        self.last: Frame | None = None
        self.frames = 0
        self.lowest_free: int | None = None

    def greeting(self) -> Greeting:
        """What a chip that starts now is told."""
        pins = self.workshop.pins
        selects = (pins.get("SENSOR_CS_PIN"), pins.get("SECOND_CS_PIN"))
        return Greeting(
            cause=self.cause,
            is_paced=self.timing.is_paced,
            quantum_us=self.timing.quantum_us,
            panel_address=PANEL_ADDRESS if pins.get("I2C_SDA_PIN") is not None else 0,
            analogue_pin=pins.get("CURRENT_PIN"),
            selects=tuple(pin for pin in selects if pin is not None),
            high_outputs=self._high_outputs(),
            reports_memory=self.timing.reports_memory,
            flash_ms=self.timing.flash_ms,
        )

    def _high_outputs(self) -> int:
        if self.cause != frames.SOFT_RESET or self.last is None:
            return 0
        return self.last.levels & self.last.drives

    def serve(self, wire: socket.socket) -> Frame:
        """Take one frame and answer it. Raises `frames.Gone` and `Doomed`."""
        frame = self.take(wire)
        self.give(wire, frame)
        return frame

    def take(self, wire: socket.socket) -> Frame:
        """The chip's next frame; it stands still until `give`. Raises `frames.Gone`, `Doomed`."""
        frame = frames.read(wire)
        self.frames += 1
        if frame.kind is Kind.DOOMED:
            raise Doomed
        if frame.kind is Kind.RESET:
            self.cause = frame.first
        if frame.kind is Kind.SPI and self.timing.reports_memory:
            lowest = frame.free_bytes if self.lowest_free is None else self.lowest_free
            self.lowest_free = min(lowest, frame.free_bytes)
        return frame

    def give(self, wire: socket.socket, frame: Frame) -> None:
        """Let the plant catch up and the chip go on; one that resets itself waits for its end."""
        if frame.kind is Kind.HELLO:
            self._greet(wire, frame)
            return
        has_moved = self.workshop.run_to(frame)
        self.last = frame
        if frame.kind is not Kind.RESET:
            self._answer(wire, frame, has_moved)

    def starve(self) -> bool:
        """The program stands still, pins as they are, until the watchdog bites: fed just before.

        Returns whether it bit; without one the heat stays as it is for `FOR_GOOD_S`.
        """
        if self.last is None:
            return False
        self.workshop.hold(self.last, self.last.watchdog_us * US or FOR_GOOD_S)
        return self.last.watchdog_us > 0

    def _greet(self, wire: socket.socket, frame: Frame) -> None:
        greeting = self.greeting()
        self.workshop.restart()
        grounded = self.workshop.grounded()
        frames.answer(wire, frame, grounded, greeting.value(), greeting.data())

    def _answer(self, wire: socket.socket, frame: Frame, has_moved: bool) -> None:
        value, data, stall_us = 0, b"", 0
        if frame.kind is Kind.SPI:
            data = self.workshop.spi(frame)
            stall_us = self.timing.tick_us if has_moved else 0
        elif frame.kind is Kind.ADC:
            value = self.workshop.current()
        elif frame.kind is Kind.I2C:
            self.workshop.i2c(frame.first, frame.payload)
        frames.answer(wire, frame, self.workshop.grounded(), value, data, stall_us)
