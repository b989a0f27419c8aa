"""A virtual board at a pseudo-terminal, until Ctrl-C:

    python -m heatsim.virtual FOLDER [--plant MODULE:FACTORY] [--speed X|max] [--link PATH]
        [--sensor max31855|max31856|max6675|max31865]

FOLDER is the chip's file system, kept between starts; empty, it is a chip with nothing but
MicroPython on it. Prints the port, for mpremote or `heatwright flash --port`.
"""

from __future__ import annotations

import argparse
import signal
from pathlib import Path

from heatsim import plugin, seeds
from heatsim.loop import Heats
from heatsim.sensor import CONVERTERS, Sensor
from heatsim.virtual.board import VirtualBoard
from heatsim.virtual.chip import HEAP, ChipSetup
from heatsim.virtual.kettle import KettlePlant
from heatsim.virtual.pins import read_pins, shipped_pins
from heatsim.virtual.workshop import Workshop


def _arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="python -m heatsim.virtual", description=__doc__)
    parser.formatter_class = argparse.RawDescriptionHelpFormatter
    parser.add_argument("folder", type=Path)
    parser.add_argument("--plant", metavar="MODULE:FACTORY")
    parser.add_argument("--speed", default="1")
    parser.add_argument("--link", type=Path, help="a second, fixed name for the port")
    parser.add_argument("--heap", default=HEAP)
    parser.add_argument("--pins", type=Path, help="a wiring.py, where it is not the shipped one")
    parser.add_argument("--sensor", choices=list(CONVERTERS), default="max31855")
    return parser.parse_args()


def main() -> None:
    """Serve until a signal says stop."""
    given = _arguments()
    given.folder.mkdir(parents=True, exist_ok=True)
    plant: Heats = plugin.load(given.plant) if given.plant else KettlePlant()
    pins = read_pins(given.pins.read_text()) if given.pins else shipped_pins()
    speed = None if given.speed == "max" else float(given.speed)
    # without noise a sensor that holds its value looks stuck, as it should
    workshop = Workshop(plant, pins, sensor=Sensor(given.sensor, noise_k=seeds.NOISE_K, seed=1))
    board = VirtualBoard(ChipSetup(given.folder, given.heap), workshop, speed)
    for number in (signal.SIGINT, signal.SIGTERM):
        signal.signal(number, lambda *_: board.stop())
    if given.link:
        given.link.unlink(missing_ok=True)
        given.link.symlink_to(board.port)
    print(board.port, flush=True)
    try:
        board.serve()
    finally:
        board.close()
        if given.link:
            given.link.unlink(missing_ok=True)


if __name__ == "__main__":
    main()
