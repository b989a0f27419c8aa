"""Draws the low-voltage wiring from the pins of a wiring file."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from heatwright import sentences

# Colours that differ in lightness too, for whoever sees few of them.
INK, INPUT, OUTPUT, HEAT, FAINT = "#222222", "#2166ac", "#1b7837", "#b2182b", "#888888"
ROW, BOX_HEIGHT = 1.0, 0.72
LEFT_X, LEFT_WIDTH = 0.0, 4.6
CHIP_X, CHIP_WIDTH = 7.0, 2.6
RIGHT_X, RIGHT_WIDTH = 12.0, 5.4


@dataclass(frozen=True)
class Wire:
    """One line of the drawing: the pins at the controller, and what hangs on them."""

    pins: str
    what: str
    note: str
    colour: str
    pull_down: bool = False


def inputs(pins: dict[str, Any]) -> Iterator[Wire]:
    """What the controller reads, as far as it is fitted."""
    clock_out = f"SCK {pins['SPI_SCK_PIN']}  MOSI {pins['SPI_MOSI_PIN']}"
    back = f"MISO {pins['SPI_MISO_PIN']}  CS {pins['SENSOR_CS_PIN']}"
    yield Wire(f"{clock_out}\n{back}", *sentences.DRAWN["sensor"], INPUT)
    for name in ("STOP_PIN", "START_PIN", "DOOR_SWITCH_PIN", "CURRENT_PIN"):
        if pins.get(name) is not None:
            yield Wire(f"GPIO {pins[name]}", *sentences.DRAWN[name], INPUT)
    if pins.get("PANEL_BUTTON_PINS"):
        numbers = ", ".join(str(pin) for pin in pins["PANEL_BUTTON_PINS"])
        yield Wire(f"GPIO {numbers}", *sentences.DRAWN["buttons"], INPUT)


def outputs(pins: dict[str, Any]) -> Iterator[Wire]:
    """What it drives, as far as it is fitted; both heater outputs with their pull-down."""
    for name in ("SSR_PIN", "RELAY_PIN"):
        if pins.get(name) is not None:
            yield Wire(f"GPIO {pins[name]}", *sentences.DRAWN[name], HEAT, pull_down=True)
    for name in ("FAN_PIN", "DOOR_PIN", "BUZZER_PIN"):
        if pins.get(name) is not None:
            yield Wire(f"GPIO {pins[name]}", *sentences.DRAWN[name], OUTPUT)
    if pins.get("I2C_SDA_PIN") is not None:
        panel = f"SDA {pins['I2C_SDA_PIN']}  SCL {pins['I2C_SCL_PIN']}"
        yield Wire(panel, *sentences.DRAWN["panel"], OUTPUT)


def draw(pins: dict[str, Any], path: Path) -> None:
    """Write the drawing, SVG or PNG by the name of ``path``. Raises ValueError for other names."""
    from matplotlib.figure import Figure

    left, right = list(inputs(pins)), list(outputs(pins))
    rows = max(len(left), len(right))
    figure = Figure(figsize=(13, 2.6 + 0.75 * rows), layout="constrained")
    axes = figure.add_subplot()
    axes.set(xlim=(-0.3, 17.8), ylim=(-2.5, rows + 0.9))
    axes.axis("off")
    _box(axes, CHIP_X, -0.1, CHIP_WIDTH, rows + 0.1, INK)
    middle_x = CHIP_X + CHIP_WIDTH / 2
    chip = sentences.DRAWN_CHIP.format(chip=pins["CHIP"])
    axes.text(middle_x, rows + 0.25, chip, ha="center", va="bottom", weight="bold")
    for row, wire in enumerate(left):
        _input(axes, wire, rows - 1 - row)
    for row, wire in enumerate(right):
        _output(axes, wire, rows - 1 - row)
    _mains(axes)
    figure.savefig(path, dpi=130, metadata={"Date": None} if path.suffix == ".svg" else None)


def _box(axes: Any, x: float, y: float, width: float, height: float, colour: str) -> None:
    from matplotlib.patches import FancyBboxPatch

    style = "round,pad=0,rounding_size=0.08"
    axes.add_patch(
        FancyBboxPatch((x, y), width, height, boxstyle=style, fill=False, ec=colour, lw=1.4)
    )


def _labelled(axes: Any, x: float, y: float, width: float, wire: Wire) -> None:
    _box(axes, x, y, width, BOX_HEIGHT, wire.colour)
    axes.text(x + 0.12, y + 0.5, wire.what, va="center", size=9.5, weight="bold", color=wire.colour)
    axes.text(x + 0.12, y + 0.21, wire.note, va="center", size=8, color=INK)


def _input(axes: Any, wire: Wire, y: float) -> None:
    middle_y = y + BOX_HEIGHT / 2
    _labelled(axes, LEFT_X, y, LEFT_WIDTH, wire)
    axes.plot([LEFT_X + LEFT_WIDTH, CHIP_X], [middle_y, middle_y], color=wire.colour, lw=1.4)
    axes.text(CHIP_X + 0.1, middle_y, wire.pins, va="center", size=7.5)


def _output(axes: Any, wire: Wire, y: float) -> None:
    middle_y, edge_x = y + BOX_HEIGHT / 2, CHIP_X + CHIP_WIDTH
    _labelled(axes, RIGHT_X, y, RIGHT_WIDTH, wire)
    axes.plot([edge_x, RIGHT_X], [middle_y, middle_y], color=wire.colour, lw=1.4)
    axes.text(edge_x - 0.1, middle_y, wire.pins, ha="right", va="center", size=7.5)
    if wire.pull_down:
        _pull_down(axes, (edge_x + RIGHT_X) / 2, middle_y)


def _pull_down(axes: Any, x: float, y: float) -> None:
    """A resistor from the wire to ground, drawn as IEC 60617 does: a plain rectangle."""
    from matplotlib.patches import Rectangle

    axes.plot([x, x], [y, y - 0.12], color=INK, lw=1.2)
    axes.add_patch(Rectangle((x - 0.08, y - 0.42), 0.16, 0.3, fill=False, ec=INK, lw=1.2))
    axes.plot([x, x], [y - 0.42, y - 0.5], color=INK, lw=1.2)
    for half, drop in ((0.16, 0.5), (0.1, 0.55), (0.04, 0.6)):
        axes.plot([x - half, x + half], [y - drop, y - drop], color=INK, lw=1.2)
    axes.text(x + 0.16, y - 0.27, sentences.DRAWN_PULL_DOWN, va="center", size=7.5)


def _mains(axes: Any) -> None:
    """The series chain on the far side, as names only: it is no wiring instruction."""
    axes.plot([-0.2, 17.6], [-0.45, -0.45], color=HEAT, lw=1.2, ls=(0, (6, 4)))
    axes.text(-0.2, -0.75, sentences.DRAWN_ISOLATION, va="center", size=9, color=HEAT)
    width = 17.4 / len(sentences.DRAWN_CHAIN)
    for place, name in enumerate(sentences.DRAWN_CHAIN):
        x = place * width
        _box(axes, x, -1.85, width - 0.35, BOX_HEIGHT, HEAT)
        axes.text(x + (width - 0.35) / 2, -1.49, name, ha="center", va="center", size=8.5)
        if place:
            axes.plot([x - 0.35, x], [-1.49, -1.49], color=HEAT, lw=1.4)
    axes.text(-0.2, -2.2, sentences.DRAWN_MAINS, va="center", size=8.5, color=INK)
