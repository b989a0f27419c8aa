"""An emulated RP2040 with the firmware on its flash, and a bench that listens to its pins."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

import pytest

from heatsim import words
from heatsim.virtual.pins import shipped_pins
from heatwright.commissioning import image

PINS = shipped_pins()
LITTLEFS_V2 = 0x00020000


def needed() -> Path:
    """The official image, or a skip that says what is missing."""
    path = os.environ.get("MICROPYTHON_UF2")
    if not path:
        pytest.skip("set MICROPYTHON_UF2 to an official RP2040 image of MicroPython (.uf2)")
    if not Path(path).is_file():
        pytest.fail(f"MICROPYTHON_UF2 names no file: {path}")
    pytest.importorskip("rp2040py", reason="pip install -e '.[chip]' brings the emulator")
    return Path(path)


class Bench:
    """What is soldered to the emulated chip; `edges` are (milliseconds, pin, level)."""

    def __init__(self, bead_c: float = 24.5, junction_c: float = 24.0) -> None:
        self.word = words.max31855(bead_c, junction_c)
        self.edges: list[tuple[float, str, bool]] = []
        self._left = b""

    def attach(self, mcu: Any) -> None:
        self.mcu = mcu
        mcu.spi[PINS["SPI_ID"]].on_transmit = self._transmit
        mcu.gpio[PINS["SENSOR_CS_PIN"]].add_listener(self._select)
        for name in ("SSR_PIN", "RELAY_PIN"):
            mcu.gpio[PINS[name]].add_listener(lambda new, old, name=name: self._edge(name, new))

    def level(self, name: str) -> bool:
        from rp2040py.gpio_pin import GPIOPinState

        return bool(self.mcu.gpio[PINS[name]].value == GPIOPinState.HIGH)

    def highs(self, name: str) -> list[float]:
        """When this pin went high, ms."""
        return [at_ms for at_ms, pin, is_high in self.edges if pin == name and is_high]

    def _transmit(self, value: int) -> None:
        byte, self._left = (self._left[0], self._left[1:]) if self._left else (0xFF, b"")
        self.mcu.spi[PINS["SPI_ID"]].complete_transmit(byte)

    def _select(self, new: Any, old: Any) -> None:
        from rp2040py.gpio_pin import GPIOPinState

        if new == GPIOPinState.LOW:
            self._left = self.word

    def _edge(self, name: str, new: Any) -> None:
        from rp2040py.gpio_pin import GPIOPinState

        self.edges.append((self.mcu.clock.nanos / 1e6, name, new == GPIOPinState.HIGH))


def file_system(folder: Path, layout: dict[str, int]) -> Path:
    """A littlefs image of a flashed chip. Without main.py: the emulator needs the prompt."""
    from littlefs import LittleFS, UserContext

    size = layout["fs_blocksize"] * layout["fs_blockcount"]
    files = LittleFS(
        context=UserContext(buffsize=size),
        block_size=layout["fs_blocksize"],
        block_count=layout["fs_blockcount"],
        prog_size=256,
        disk_version=LITTLEFS_V2,
    )
    for path, data in image.build({}, "rp2").items():
        if path == image.MAIN:
            continue
        if "/" in path:
            files.makedirs(path.rpartition("/")[0], exist_ok=True)
        with files.open(path, "wb") as file:
            file.write(data)
    files.unmount()
    made = folder / "flash.img"
    made.write_bytes(files.context.buffer)
    return made
