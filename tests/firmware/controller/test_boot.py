"""boot.py itself, run with a folder in place of the chip's root."""

import builtins
import hashlib
import sys
from pathlib import Path

import bench as chip
import pytest

import heatcontroller
from heatcontroller import store, wiring

DEVICE = Path(__file__).resolve().parents[3] / "firmware" / "device"
SOURCE = (DEVICE / "boot.py").read_text()


class Root:
    def __init__(self, folder, monkeypatch):
        self.folder = folder
        monkeypatch.setattr("os.remove", self._remove)
        self.write("/app.mpy", b"firmware")
        self.seal()

    def _at(self, path):
        return self.folder / path.lstrip("/")

    def _open(self, path, mode="r"):
        return builtins.open(self._at(path), mode)

    def _remove(self, path):
        self._at(path).unlink()

    def write(self, path, data):
        self._at(path).write_bytes(data)

    def seal(self):
        digest = hashlib.sha256(b"firmware").hexdigest()
        self.write("/manifest.txt", f"{digest} /app.mpy\n".encode())

    def boot(self):
        heatcontroller.boot_kind = "service"
        exec(compile(SOURCE, "boot.py", "exec"), {"open": self._open, "__name__": "__main__"})
        return heatcontroller.boot_kind


@pytest.fixture
def root(tmp_path, monkeypatch):
    chip.clear()
    path = sys.path[:]
    yield Root(tmp_path, monkeypatch)
    chip.clear()
    sys.path[:] = path
    heatcontroller.boot_kind = "service"


def drives(pin):
    return chip.drives >> pin & 1


def test_outputs_are_off_before_anything_is_imported():
    lines = [one for one in SOURCE.splitlines() if one and not one.startswith("#")]
    assert lines[:2] == ["from heatcontroller import wiring", "wiring.outputs_off()"]


def test_a_soft_reset_with_outputs_high_ends_low(root):
    for pin in (wiring.SSR_PIN, wiring.RELAY_PIN):
        chip.set_output(pin)
        chip.set_level(pin, 1)
    assert root.boot() == "run"
    for pin in (wiring.SSR_PIN, wiring.RELAY_PIN):
        assert chip.get_level(pin) == 0
        assert drives(pin)


def test_service_drives_no_heater_pin(root):
    root.write("/next_boot", b"service")
    assert root.boot() == "service"
    assert not drives(wiring.SSR_PIN)
    assert not drives(wiring.RELAY_PIN)


def test_the_flag_counts_once(root):
    for kind in ("service", "hil", "idle"):
        root.write("/next_boot", kind.encode())
        assert root.boot() == kind
        assert root.boot() == "run"


def test_a_torn_flag_is_a_normal_boot(root):
    for data in (b"", b"serv", b"party"):
        root.write("/next_boot", data)
        assert root.boot() == "run"


def test_changed_missing_or_unlisted_firmware_stays_in_service(root):
    root.write("/app.mpy", b"firmwarf")
    assert root.boot() == "service"
    root.write("/app.mpy", b"firmware")
    assert root.boot() == "run"
    for data in (b"", b"\n", b"nonsense", b"0" * 64 + b" /missing.mpy\n"):
        root.write("/manifest.txt", data)
        assert root.boot() == "service", data
    root._remove("/manifest.txt")
    assert root.boot() == "service"
    root.write("/next_boot", b"hil")
    assert root.boot() == "service"


def test_the_injected_readings_are_on_the_path_in_their_boot_alone(root):
    assert root.boot() == "run"
    assert "/hil" not in sys.path
    root.write("/next_boot", b"hil")
    assert root.boot() == "hil"
    assert sys.path[-1] == "/hil"
    assert not drives(wiring.SSR_PIN)


def test_boot_and_store_mean_the_same_flag(root):
    assert '"/' + store.NEXT_BOOT + '"' in SOURCE
