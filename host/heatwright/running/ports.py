"""Opens a serial port, and says in plain words why one can't be opened."""

from __future__ import annotations

import errno
import grp
import os
import sys
from pathlib import Path

import serial
from serial.tools import list_ports

from heatwright import sentences
from heatwright.errors import Fault, NoController

BAUD = 115200  # USB ports ignore it; bridges to a UART take it
# An order that waits to be sent waits this long at most for the port to be quiet.
READ_WAIT_S = 0.01
WRITE_WAIT_S = 2.0
# USB vendor of RP2040 and RP2350, and its product while only the boot loader runs.
RASPBERRY = 0x2E8A
BOOT_LOADERS = (0x0003, 0x000F)


def open_port(port: str) -> serial.Serial:
    """The port, for this program alone. Raises `NoController` with what to do about it."""
    try:
        return serial.Serial(
            port, BAUD, timeout=READ_WAIT_S, write_timeout=WRITE_WAIT_S, exclusive=True
        )
    except (serial.SerialException, OSError) as error:
        raise NoController(port_fault(port, error)) from error


def port_fault(port: str, error: Exception) -> Fault:
    """Why this port can't be opened, and the cure."""
    number = getattr(error, "errno", None)
    if number in (errno.ENOENT, errno.ENODEV, errno.ENXIO):
        return _absent(port)
    if number in (errno.EACCES, errno.EPERM):
        return Fault(sentences.PORT_FORBIDDEN, port, found=_owner(port), cure=permission_cure(port))
    if number == errno.EBUSY or "lock" in str(error):
        return Fault(sentences.PORT_BUSY, port, cure=sentences.PORT_BUSY_CURE)
    return Fault(sentences.NOT_A_PORT, port, found=str(error), cure=sentences.NOT_A_PORT_CURE)


def _absent(port: str) -> Fault:
    found = ", ".join(candidates()) or sentences.NO_PORTS
    cure = sentences.BOOT_LOADER_CURE if boot_loader_present() else sentences.NO_PORT_CURE
    return Fault(sentences.NO_SUCH_PORT, port, found=found, cure=cure)


def candidates() -> list[str]:
    """Ports that may be a controller: those on USB."""
    return [info.device for info in list_ports.comports() if info.vid is not None]


def boot_loader_present() -> bool:
    """Whether an RP2 chip waits for a MicroPython image: it shows up as a disk, not as a port."""
    return any(_is_boot_loader(device) for device in Path("/sys/bus/usb/devices").glob("*"))


def _is_boot_loader(device: Path) -> bool:
    try:
        vendor = int((device / "idVendor").read_text(), 16)
        product = int((device / "idProduct").read_text(), 16)
    except (OSError, ValueError):
        return False
    return vendor == RASPBERRY and product in BOOT_LOADERS


def permission_cure(port: str) -> str:
    """The group that may open this port, and the rule that lets whoever sits here do so."""
    if sys.platform != "linux":
        return sentences.PERMISSION_CURE_ELSEWHERE
    return sentences.PERMISSION_CURE.format(group=_group(port))


def _group(port: str) -> str:
    try:
        return grp.getgrgid(os.stat(port).st_gid).gr_name
    except (OSError, KeyError):
        return "dialout"


def _owner(port: str) -> str:
    return sentences.PORT_OWNER.format(group=_group(port))
