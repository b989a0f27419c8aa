"""The converters that a bench can wear: what each answers on the bus, transfer by transfer.

Two of them shift out a word; two have registers, convert when they are asked to, and say when they
have: so the firmware's four drivers are all driven as their chips drive them.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol

from heatsim import words
from heatsim.sensor import CONVERTERS

WRITES = 0x80  # in the first byte of a transfer, the address
CLEARS_ITSELF = 0x02  # MAX31865: the order to clear faults


@dataclass(frozen=True)
class Felt:
    """What the chip makes of bead and junction now, °C, and a fault of the bead."""

    bead_c: float
    junction_c: float
    status: int


class Worn(Protocol):
    """A converter on the bus."""

    def exchange(self, sent: bytes, count: int, now_s: float, feel: Callable[[], Felt]) -> bytes:
        """One transfer with the chip selected: ``count`` bytes each way."""
        ...


class Word:
    """Shifts out what it feels at that moment, whatever it is sent."""

    def __init__(self, of: Callable[[Felt], bytes]) -> None:
        self._of = of

    def exchange(self, sent: bytes, count: int, now_s: float, feel: Callable[[], Felt]) -> bytes:
        return self._of(feel())[:count]


@dataclass(frozen=True)
class Layout:
    """A chip with registers: as it powers up, the bit that asks for a conversion, how long that
    takes, and which registers it fills.
    """

    power_up: bytes
    request: int
    conversion_s: float
    results: Callable[[Felt], dict[int, bytes]]


class Registers:
    """Converts once when asked; clears the request when it is done."""

    def __init__(self, layout: Layout) -> None:
        self._layout = layout
        self._held = bytearray(layout.power_up)
        self._due_s: float | None = None

    def exchange(self, sent: bytes, count: int, now_s: float, feel: Callable[[], Felt]) -> bytes:
        if sent[0] & WRITES:
            self._take(sent[0] & ~WRITES, sent[1:count], now_s)
            return bytes(count)
        if self._due_s is not None and now_s >= self._due_s:
            self._finish(feel())
        return (b"\0" + bytes(self._held[sent[0] :]) + bytes(count))[:count]

    def _take(self, address: int, data: bytes, now_s: float) -> None:
        self._held[address : address + len(data)] = data
        if address == 0:
            self._held[0] &= 0xFF & ~CLEARS_ITSELF
            asked = self._held[0] & self._layout.request
            self._due_s = now_s + self._layout.conversion_s if asked else None

    def _finish(self, felt: Felt) -> None:
        self._due_s = None
        self._held[0] &= 0xFF & ~self._layout.request
        for address, data in self._layout.results(felt).items():
            self._held[address : address + len(data)] = data


def _of_31856(felt: Felt) -> dict[int, bytes]:
    return {0x0A: words.max31856(felt.bead_c, felt.junction_c, felt.status)}


def _of_31865(felt: Felt) -> dict[int, bytes]:
    data = words.max31865(felt.bead_c, felt.status)
    return {0x01: data[:2], 0x07: data[2:]}


def _conversion_s(kind: str) -> float:
    return CONVERTERS[kind].conversion_ms / 1000


# Registers at power-up as the data sheets have them: faults masked, the high limit wide open.
_31856 = Layout(bytes((0, 0, 0xFF)) + bytes(13), 0x40, _conversion_s("max31856"), _of_31856)
_31865 = Layout(
    bytes((0, 0, 0, 0xFF, 0xFF, 0, 0, 0)), 0x20, _conversion_s("max31865"), _of_31865
)  # fmt: skip


def converter(kind: str) -> Worn:
    """A chip of this kind of `heatsim.sensor.CONVERTERS`, just powered. Raises KeyError."""
    made: dict[str, Callable[[], Worn]] = {
        "max31855": lambda: Word(lambda f: words.max31855(f.bead_c, f.junction_c, f.status)),
        "max6675": lambda: Word(lambda f: words.max6675(f.bead_c, f.status)),
        "max31856": lambda: Registers(_31856),
        "max31865": lambda: Registers(_31865),
    }
    return made[kind]()
