"""An official MicroPython image in an emulated RP2040, with our firmware on its file system.

Opt-in, since the image is not ours to ship: MICROPYTHON_UF2=path. Emulated time is 20 to 30 times
slower than real: each test stays below 0.3 emulated seconds after the chip's own start.
"""

import asyncio
from collections.abc import Awaitable, Callable
from contextlib import suppress
from pathlib import Path
from typing import Any

import pytest

from chip_emulated import Bench, file_system, needed

pytestmark = pytest.mark.chip

Story = Callable[[Any, Bench], Awaitable[None]]
WATCHDOG_RESET = 3
LIMIT_S = 120.0

READ = """
from machine import SPI, Pin
from heatcontroller import wiring as w
from heatcontroller.drivers import bus, max31855
spi = SPI(w.SPI_ID, baudrate=bus.BAUDRATE, sck=Pin(18), mosi=Pin(19), miso=Pin(16))
chip = bus.Chip(bus.Bus(spi), Pin(17, Pin.OUT, value=1), max31855.SPI_PHASE)
sensor = max31855.Max31855(chip)
sensor.poll(1000)
print(sensor.status, sensor.mc, sensor.junction_mc)
"""
STARVE = """
from machine import Pin, WDT
ssr, relay = Pin(15, Pin.OUT, value=1), Pin(14, Pin.OUT, value=1)
WDT(timeout=60)
while True: pass
"""


def run(tmp_path: Path, story: Story) -> Bench:
    uf2 = needed()
    from rp2040py.boards import BoardSpec, FlashLayout
    from rp2040py.device import MicroPythonDevice
    from rp2040py.utils.firmware_retrieve import MICROPYTHON, flash_layout

    bench = Bench()
    layout = flash_layout(MICROPYTHON, "pico")
    board = BoardSpec(extras=(lambda: bench,), image=uf2, layout=FlashLayout(**layout))

    async def main() -> None:
        files = file_system(tmp_path, layout)
        async with MicroPythonDevice(board=board, filesystem=files) as device:
            await story(device, bench)

    asyncio.run(main())
    return bench


async def told(device: Any, code: str) -> str:
    out, error = await device.aexec(code, timeout=LIMIT_S)
    assert not error, error.decode()
    return str(out.decode().strip())


def test_boot_leaves_both_outputs_low(tmp_path: Path) -> None:
    async def story(device: Any, bench: Bench) -> None:
        kind = await told(device, "import heatcontroller; print(heatcontroller.boot_kind)")
        # without main.py the manifest does not match: a service boot
        assert kind == "service"
        assert not bench.level("SSR_PIN")
        assert not bench.level("RELAY_PIN")

    bench = run(tmp_path, story)
    assert bench.highs("SSR_PIN") == []
    assert bench.highs("RELAY_PIN") == []


def test_a_reading_comes_through(tmp_path: Path) -> None:
    async def story(device: Any, bench: Bench) -> None:
        status, mc, junction_mc = (await told(device, READ)).split()
        assert status == "0"
        # the chip's straight line undone: within its step and the tables' own 0.02 K
        assert int(mc) == pytest.approx(24_500, abs=300)
        assert int(junction_mc) == 24_000

    run(tmp_path, story)


def test_the_ssr_follows_and_the_relay_stays_open(tmp_path: Path) -> None:
    async def story(device: Any, bench: Bench) -> None:
        code = "from heatcontroller import wiring; print(wiring.try_output('ssr', 30))"
        assert await told(device, code) == ""
        assert not bench.level("SSR_PIN")

    bench = run(tmp_path, story)
    ssr = [(at_ms, is_high) for at_ms, pin, is_high in bench.edges if pin == "SSR_PIN"]
    assert [is_high for _, is_high in ssr] == [True, False]
    assert ssr[1][0] - ssr[0][0] == pytest.approx(30, abs=5)
    assert bench.highs("RELAY_PIN") == []


def test_a_starved_watchdog_drops_both_outputs(tmp_path: Path) -> None:
    async def story(device: Any, bench: Bench) -> None:
        # the chip goes away in the middle of its answer
        with suppress(Exception):
            await device.aexec(STARVE, timeout=15)
        assert bench.highs("SSR_PIN")
        assert not bench.level("SSR_PIN")
        assert not bench.level("RELAY_PIN")
        cause = await told(device, "import machine; print(machine.reset_cause())")
        assert int(cause) == WATCHDOG_RESET

    run(tmp_path, story)


def test_the_skip_says_what_to_do(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("MICROPYTHON_UF2", raising=False)
    with pytest.raises(pytest.skip.Exception, match="MICROPYTHON_UF2"):
        needed()
