"""What the simulated chip is wired to: a source with its outputs, a converter, buttons, a person.

The plant runs on only when the chip reads its sensor, with the share of the time between two
readings that the heater's outputs were both driven high.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from heatcore.inputs import OK
from heatsim.loop import DOOR_SWING_S, Heats
from heatsim.mains import Mains
from heatsim.sensor import Sensor
from heatsim.virtual.frames import Frame
from heatsim.virtual.worn import Felt, Worn, converter

US = 1e-6
PANEL_ADDRESS = 0x3C
# At full power; what a current sensor on this source's supply would see.
HEATER_MA = 4800
# Where the controller asks whether anybody is there, and how the person answers.
ASKED_C = 150.0
PRESS_EVERY_S, PRESS_S = 8.0, 1.0
# Transfers closer together than this are one reading's: nothing has moved in between.
AT_ONCE_US = 10_000
# The plant's step while the chip stands still.
HELD_S = 0.25


class Workshop:
    """One bench: turn its knobs (`stop_pressed`, `bead_c`, `ssr_stuck` ...) as a test needs.

    `pins` are the constants of a wiring file. `bead_c` set: the bead is held at that temperature,
    wherever the plant is; `bead_status` is a fault of it. `sensor` and `second` say which converter
    each is; without `second` that one is as the first. `ssr_stuck` and `relay_stuck`: None is a
    part that does as it is told, 1 is welded, 0 open. `attends`: somebody is there in a run.
    """

    def __init__(
        self,
        plant: Heats,
        pins: Mapping[str, Any],
        *,
        sensor: Sensor | None = None,
        second: Sensor | None = None,
        reads: str = "sensor",
        mains: Mains | None = None,
        ambient_c: float = 25.0,
        door_after_s: float | None = 3.0,
        attends: bool = True,
    ) -> None:
        self.plant = plant
        self.pins = pins
        self.sensor = sensor or Sensor()
        self.second = second or self.sensor
        self._worn: dict[int, Worn] = {}
        self.mains = mains or Mains()
        self.reads = reads
        self.ambient_c = ambient_c
        self.door_after_s = door_after_s
        self.attends = attends
        self.stop_pressed = False
        self.stop_wire_broken = False
        self.start_pressed = False
        self.door_open = False
        self.bead_c: float | None = None
        self.bead_status = OK
        self.leads_reversed = False
        self.ssr_stuck: int | None = None
        self.relay_stuck: int | None = None
        self.time_s = 0.0
        self.heat_s = 0.0
        self._heats = False
        self._fan = 0.0
        self.temperatures: dict[str, float] = {}
        self.screen: list[bytes] = []
        self._before: tuple[int, int, int] = (0, 0, 0)
        self._cue_s: float | None = None
        plant.reset(ambient_c)
        self._step(0.0, 0.0)

    # --- time ---

    def restart(self) -> None:
        """The chip starts anew, and with it its clock."""
        self._before = (0, 0, 0)

    def run_to(self, frame: Frame) -> bool:
        """Let the plant catch up with the chip; whether any time has gone by."""
        ssr_us, relay_us = self._on_us(frame, "SSR_PIN"), self._on_us(frame, "RELAY_PIN")
        then_us, then_ssr_us, then_relay_us = self._before
        gone_us = frame.now_us - then_us
        if gone_us < AT_ONCE_US:
            return False
        self._before = (frame.now_us, ssr_us, relay_us)
        share = self._share((ssr_us - then_ssr_us) / gone_us, (relay_us - then_relay_us) / gone_us)
        self._see_cue(frame)
        self._fan = float(frame.drives_high(self.pins.get("FAN_PIN")))
        self._step(gone_us * US, share)
        return True

    def _on_us(self, frame: Frame, name: str) -> int:
        pin = self.pins.get(name)
        return 0 if pin is None else frame.on_us[pin]

    def _share(self, ssr: float, relay: float) -> float:
        fired = ssr if self.ssr_stuck is None else float(self.ssr_stuck)
        closed = relay if self.relay_stuck is None else float(self.relay_stuck)
        if self.pins.get("RELAY_PIN") is None:
            closed = 1.0
        return min(fired, closed)

    def wait(self, seconds: float) -> None:
        """Time goes by with the chip dead or at its prompt: nothing is driven."""
        self._step(seconds, self._share(0.0, 0.0))

    def hold(self, frame: Frame, seconds: float) -> None:
        """Time goes by with the chip's program at a stand: its pins stay as this frame says."""
        ssr, relay = (frame.drives_high(self.pins.get(pin)) for pin in ("SSR_PIN", "RELAY_PIN"))
        while seconds > 0.0:
            self._step(min(HELD_S, seconds), self._share(float(ssr), float(relay)))
            seconds -= HELD_S

    def _step(self, dt_s: float, share: float) -> None:
        mains = self.mains.ratio(self.time_s)
        self.time_s += dt_s
        self.heat_s += dt_s * share
        self._heats = share > 0.0
        self.temperatures = self.plant.step(dt_s, share, self._door(), self._fan, mains)

    # --- the person at the door ---

    def _see_cue(self, frame: Frame) -> None:
        if not frame.drives_high(self.pins.get("DOOR_PIN")):
            return
        if self._cue_s is None:
            self._cue_s = self.time_s

    def _door(self) -> float:
        if self.door_open:
            return 1.0
        if self._cue_s is None or self.door_after_s is None:
            return 0.0
        waited_s = self.time_s - self._cue_s - self.door_after_s
        return min(max(waited_s / DOOR_SWING_S, 0.0), 1.0)

    def shut_door(self) -> None:
        """As a person does before the next run."""
        self.door_open = False
        self._cue_s = None

    def _says_here(self) -> bool:
        """A person who presses the button now and then while a hot board is being heated."""
        is_asked = self._heats and self.temperatures["board"] >= ASKED_C
        return self.attends and is_asked and self.time_s % PRESS_EVERY_S < PRESS_S

    # --- what the chip feels ---

    def grounded(self) -> int:
        """The pins that a contact closes to ground now, as bits."""
        closed = {
            "STOP_PIN": not self.stop_pressed and not self.stop_wire_broken,
            "START_PIN": self.start_pressed or self._says_here(),
            "DOOR_SWITCH_PIN": self._door() < 0.5,
        }
        fitted = {self.pins.get(name): is_closed for name, is_closed in closed.items()}
        return sum(1 << pin for pin, is_closed in fitted.items() if pin is not None and is_closed)

    def spi(self, frame: Frame) -> bytes:
        """What the converter at the frame's select pin answers to the frame's bytes."""
        select, count = frame.first, frame.second
        sensor = self.second if self._is_second(select) else self.sensor
        if select not in self._worn:
            self._worn[select] = converter(sensor.kind)
        sent = frame.sent[:count]
        return self._worn[select].exchange(
            sent, count, self.time_s, lambda: self._felt(sensor, select)
        )

    def _is_second(self, select: int) -> bool:
        return select == self.pins.get("SECOND_CS_PIN")

    def _felt(self, sensor: Sensor, select: int) -> Felt:
        bead_c = self.temperatures[self.reads] if self.bead_c is None else self.bead_c
        if self._is_second(select):
            bead_c = self.temperatures.get("board_sensor", self.temperatures["board"])
        junction_c = self.ambient_c
        if self.leads_reversed and sensor.converter.is_thermocouple:
            bead_c = 2 * junction_c - bead_c
        return Felt(*sensor.convert(bead_c, junction_c), self.bead_status)

    def current(self) -> int:
        """What the current sensor's analogue input reads now, 0..65535."""
        full_ma = self.pins.get("CURRENT_FULL_MA") or 20000
        is_on = self.ssr_stuck == 1 and self.relay_stuck == 1
        return min(65535, HEATER_MA * 65535 // full_ma) if is_on else 0

    def i2c(self, address: int, payload: bytes) -> None:
        """The panel takes what it is sent."""
        if address == PANEL_ADDRESS:
            self.screen.append(payload)
