"""`flash` against a virtual board: everything once, nothing twice, on after a cut."""

import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from heatsim.virtual import terminal
from heatsim.virtual.frames import POWER_ON
from heatwright.commissioning import image
from heatwright.commissioning.flashing import Wanted, flash
from heatwright.errors import BadInput, NoController
from heatwright.running.ports import open_port
from virtual_made import ServedBoard, firmware, put_firmware


def silent(text: str) -> None:
    pass


@pytest.fixture
def root(tmp_path: Path) -> Path:
    (tmp_path / "chip").mkdir()
    return tmp_path / "chip"


@pytest.fixture
def board(root: Path) -> Iterator[ServedBoard]:
    with ServedBoard(root, speed=4.0) as served:
        yield served


def test_flash_puts_all_on_an_empty_chip_and_nothing_twice(board: ServedBoard, root: Path) -> None:
    first = flash(board.port, Wanted(config={"outputs": "ssr"}), silent)
    assert first.hello["state"] == "idle"
    assert first.copied[-1] == "main.py"
    assert first.copied[-2] == "manifest.txt"
    assert (root / "config.json").read_text() == '{"outputs": "ssr"}'
    second = flash(board.port, Wanted(), silent)
    assert second.copied == []
    assert second.kept == len(first.copied)
    assert second.outputs == "ssr"


def test_a_flash_that_was_cut_goes_on_where_it_stopped(board: ServedBoard, root: Path) -> None:
    command = [sys.executable, "-m", "heatwright", "flash", "--port", board.port]
    cut = subprocess.Popen(command, start_new_session=True, stdout=subprocess.DEVNULL)
    deadline = time.monotonic() + 60
    while len(list(root.rglob("*.mpy"))) < 20 and time.monotonic() < deadline:
        time.sleep(0.02)
    os.killpg(cut.pid, signal.SIGKILL)
    cut.wait()
    await_free(board.port)
    assert not (root / "main.py").exists()
    assert not (root / "manifest.txt").exists()
    board.board.server.cause = POWER_ON
    done = flash(board.port, Wanted(), silent)
    assert done.hello["state"] == "idle"
    assert done.kept > 10
    assert len(done.copied) + done.kept == len(firmware()) + 1


def await_free(port: str) -> None:
    """What a killed flash had begun itself is still being ended by the system."""
    deadline = time.monotonic() + 20
    while True:
        try:
            return open_port(port).close()
        except NoController:
            assert time.monotonic() < deadline
            time.sleep(0.1)


def test_one_changed_file_keeps_the_controller_in_service(root: Path) -> None:
    put_firmware(root)
    path = root / "heatcore" / "cutoff.mpy"
    path.write_bytes(path.read_bytes()[:-1] + b"\0")
    with ServedBoard(root, speed=4.0) as board:
        done = flash(board.port, Wanted(), silent)
    assert "heatcore/cutoff.mpy" in done.copied
    assert done.hello["state"] == "idle"


def test_a_lost_manifest_is_a_service_boot(root: Path) -> None:
    put_firmware(root)
    (root / "manifest.txt").write_text("0" * 64 + " main.py\n")
    from heatwright.commissioning.restart import await_controller

    with ServedBoard(root, speed=4.0) as board:
        client = await_controller(board.port)
        assert client.hello()["state"] == "service"
        client.close()


def test_files_that_hide_the_chips_modules_are_refused(board: ServedBoard, root: Path) -> None:
    (root / "machine.py").write_text("class Pin: pass\n")
    with pytest.raises(NoController, match=r"hide its own modules(.|\n)*machine\.py"):
        flash(board.port, Wanted(), silent)
    assert not list(root.rglob("*.mpy"))


def test_another_chip_than_asked_for_is_refused_before_a_file_is_copied(
    board: ServedBoard, root: Path
) -> None:
    with pytest.raises(BadInput, match=r"--chip esp32(.|\n)*expected: --chip rp2"):
        flash(board.port, Wanted(chip="esp32"), silent)
    assert not [path for path in root.rglob("*") if path.is_file()]
    put_firmware(root)
    board.board.cut_power()
    assert flash(board.port, Wanted(chip="rp2"), silent).hello["state"] == "idle"


def test_an_old_py_beside_its_mpy_is_removed(board: ServedBoard, root: Path) -> None:
    put_firmware(root)
    (root / "heatcore" / "loop.py").write_text("raise RuntimeError\n")
    board.board.cut_power()
    flash(board.port, Wanted(), silent)
    assert not (root / "heatcore" / "loop.py").exists()


def test_a_wiring_that_the_chip_cannot_have_never_heats(board: ServedBoard, root: Path) -> None:
    with pytest.raises(BadInput, match="SSR_PIN"):
        flash(board.port, Wanted(pins={"SSR_PIN": 14}), silent)
    # again on a chip that has the firmware by now: the new file is judged, not what is in memory
    put_firmware(root)
    board.board.cut_power()
    flash(board.port, Wanted(pins={}), silent)
    with pytest.raises(BadInput, match="SSR_PIN"):
        flash(board.port, Wanted(pins={"SSR_PIN": 14}), silent)


def test_a_running_controller_is_not_flashed(root: Path) -> None:
    from heatcore.plan import read
    from heatwright.commissioning.restart import await_controller
    from heatwright.commissioning.warm_plan import warm_plan
    from heatwright.running.link_client import SerialTarget

    put_firmware(root)
    plan = warm_plan(25.0)
    with ServedBoard(root, speed=1.0) as board:
        client = await_controller(board.port)
        target = SerialTarget(client)
        target.put(plan)
        target.ask("arm", read(plan).id)
        client.close()
        with pytest.raises(NoController, match="at work"):
            flash(board.port, Wanted(), silent)


def test_image_is_ordered_and_its_manifest_is_whole() -> None:
    files = firmware()
    assert list(files)[-2:] == [image.MANIFEST, image.MAIN]
    lines = files[image.MANIFEST].decode().splitlines()
    assert {line[65:]: line[:64] for line in lines} == {
        path: image.digest(data) for path, data in files.items() if path != image.MANIFEST
    }


def test_a_chip_without_micropython_is_told_what_it_lacks() -> None:
    master, slave = terminal.open_host_side()
    try:
        with pytest.raises(NoController, match=r"no MicroPython prompt(.|\n)*BOOTSEL"):
            flash(os.ttyname(slave), Wanted(), silent)
    finally:
        os.close(master)
        os.close(slave)
