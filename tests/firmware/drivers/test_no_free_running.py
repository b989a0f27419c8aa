"""Nothing may fire a heater by itself: read from the source, file by file."""

import ast
from pathlib import Path

CONTROLLER = Path(__file__).resolve().parents[3] / "firmware" / "heatcontroller"
# What runs on when Python has stopped.
FREE_RUNNING = {"PWM", "Timer", "rp2", "PIO", "StateMachine", "DMA", "RMT", "bitstream"}


def names_from_the_chip(path):
    """Names that a file takes from `machine`, `rp2` or `esp32`."""
    found = set()
    for node in ast.walk(ast.parse(path.read_text())):
        if isinstance(node, ast.ImportFrom) and node.module in ("machine", "rp2", "esp32"):
            found |= {alias.name for alias in node.names} | {node.module}
        elif isinstance(node, ast.Import):
            found |= {a.name for a in node.names if a.name in ("machine", "rp2", "esp32")}
        elif isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name):
            found |= {node.attr} if node.value.id == "machine" else set()
    return found


def test_only_the_servo_takes_a_free_running_output():
    users = {}
    for path in sorted(CONTROLLER.rglob("*.py")):
        taken = names_from_the_chip(path) & FREE_RUNNING
        if taken:
            users[path.name] = taken
    # the timer opens the outputs, and can close none: see the cut-off's guard
    assert users == {"hardware.py": {"PWM"}, "wiring.py": {"Timer"}}


def test_the_chip_is_touched_in_drivers_and_wiring_alone():
    users = {
        path.relative_to(CONTROLLER).as_posix()
        for path in CONTROLLER.rglob("*.py")
        if "machine" in names_from_the_chip(path)
    }
    assert users == {"wiring.py", "drivers/hardware.py"}


def test_pwm_is_made_for_the_door_pin_alone():
    tree = ast.parse((CONTROLLER / "drivers" / "hardware.py").read_text())
    calls = [
        ast.unparse(node)
        for node in ast.walk(tree)
        if isinstance(node, ast.Call) and ast.unparse(node.func) == "PWM"
    ]
    assert calls == ["PWM(Pin(pins.DOOR_PIN), freq=SERVO_HZ)"]
