"""A virtual controller on a simulated toaster, at a pseudo-terminal, with a hand at its button."""

from __future__ import annotations

import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from heatsim.plant import Plant
from heatsim.sensor import Sensor
from heatsim.virtual.pins import shipped_pins
from heatsim.virtual.workshop import Workshop
from heatwright.documents import load_source
from virtual_made import PINS, ServedBoard, put_firmware

# On the wall's clock: longer than the firmware debounces, at any speed.
PRESS_S = 0.3


def toaster(**pins: Any) -> Workshop:
    """The shipped toaster, its control sensor where its file has it."""
    plant = Plant(load_source("toaster").plant_params())
    sensor = Sensor(noise_k=0.15, seed=1)
    return Workshop(plant, shipped_pins() | PINS | pins, sensor=sensor)


@contextmanager
def oven(folder: Path, speed: float, **pins: Any) -> Iterator[ServedBoard]:
    """It runs ``speed`` simulated seconds a second; ``pins`` as in wiring.py."""
    root = put_firmware(folder, **(PINS | pins))
    with ServedBoard(root, toaster(**pins), speed) as served:
        yield served


def press(workshop: Workshop) -> None:
    """Somebody presses the start button."""
    workshop.start_pressed = True
    time.sleep(PRESS_S)
    workshop.start_pressed = False
