"""The wire between the simulated chip and the simulator, as `shadow/wire.py` speaks it.

One frame of 64-bit integers from the chip, one answer back, in lockstep: the chip's clock stands
still until the answer is there.
"""

from __future__ import annotations

import socket
import struct
from dataclasses import dataclass
from enum import IntEnum

PINS = 48
_FRAME = struct.Struct(f"<qqqqq16sqqqqq{PINS}q")
_ANSWER = struct.Struct("<qqqq16s")
# machine.reset_cause() of the simulated chip.
POWER_ON, HARD_RESET, WATCHDOG, SOFT_RESET = 1, 2, 3, 5


class Kind(IntEnum):
    """What the chip wants."""

    HELLO = 1
    SPI = 2
    I2C = 3
    ADC = 4
    SYNC = 5
    RESET = 6
    DOOMED = 7


class Gone(Exception):
    """The chip's process has ended, or was cut off in the middle of a frame."""


@dataclass(frozen=True)
class Frame:
    """One question: microseconds since start, the pins, and how long each was driven high.

    `free_bytes` is the chip's heap, collected, as it was at the last report.
    """

    kind: Kind
    number: int
    now_us: int
    first: int
    second: int
    sent: bytes
    levels: int
    drives: int
    watchdog_us: int
    free_bytes: int
    on_us: tuple[int, ...]
    payload: bytes = b""

    def drives_high(self, pin: int | None) -> bool:
        """Whether the chip drives this pin high now."""
        return pin is not None and bool(self.levels & self.drives & 1 << pin)


def read(wire: socket.socket) -> Frame:
    """The next frame; waits for it. Raises `Gone`."""
    values = _FRAME.unpack(_exactly(wire, _FRAME.size))
    kind, second = Kind(values[0]), values[4]
    payload = _exactly(wire, second) if kind is Kind.I2C and second else b""
    number, now_us, first = values[1:4]
    sent, levels, drives, watchdog_us, free_bytes = values[5:10]
    return Frame(
        kind=kind,
        number=number,
        now_us=now_us,
        first=first,
        second=second,
        sent=sent,
        levels=levels,
        drives=drives,
        watchdog_us=watchdog_us,
        free_bytes=free_bytes,
        on_us=values[11:],
        payload=payload,
    )


def answer(
    wire: socket.socket,
    frame: Frame,
    grounded: int = 0,
    value: int = 0,
    data: bytes = b"",
    stall_us: int = 0,
) -> None:
    """Let the chip go on: pins held to ground, a value, up to 16 bytes, a stall of its clock."""
    packed = _ANSWER.pack(frame.number, grounded, stall_us, value, data)
    try:
        wire.sendall(packed)
    except OSError as error:
        raise Gone from error


def _exactly(wire: socket.socket, count: int) -> bytes:
    data = b""
    while len(data) < count:
        try:
            more = wire.recv(count - len(data))
        except OSError as error:
            raise Gone from error
        if not more:
            raise Gone
        data += more
    return data


@dataclass(frozen=True)
class Greeting:
    """What the chip learns at its start: why it starts, what hangs on its buses, its timer."""

    cause: int = POWER_ON
    is_paced: bool = False
    quantum_us: int = 0
    panel_address: int = 0
    analogue_pin: int | None = None
    selects: tuple[int, ...] = ()
    high_outputs: int = 0
    reports_memory: bool = False
    flash_ms: int = 0

    def value(self) -> int:
        """Everything that fits into the answer's value."""
        analogue = 0 if self.analogue_pin is None else self.analogue_pin + 1
        head = self.cause | self.is_paced << 3 | self.quantum_us << 4
        return (
            head
            | self.panel_address << 20
            | analogue << 28
            | self.reports_memory << 36
            | self.flash_ms << 37
        )

    def data(self) -> bytes:
        """Select pins with a converter on them, then the outputs that are still high, as bits."""
        selects = sum(1 << pin for pin in self.selects)
        return selects.to_bytes(8, "little") + self.high_outputs.to_bytes(8, "little")
