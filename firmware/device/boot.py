# Runs first at every start. A soft reset leaves pins as they were, so outputs off before all else.
from heatcontroller import wiring

wiring.outputs_off()

import binascii
import hashlib
import os
import sys

import heatcontroller
import machine

# One word, read once: what the last start asked this one to be.
NEXT_BOOT = "/next_boot"
# Lines of 64 hex digits (SHA-256), a space and a path. Written last when flashing, so that a copy
# that was cut short is seen here.
MANIFEST = "/manifest.txt"
# The only place that holds the injected readings, and on the path in that boot alone.
HIL_FOLDER = "/hil"
KINDS = ("idle", "service", "hil")


def asked_for() -> str:
    try:
        with open(NEXT_BOOT) as file:
            kind = file.read()
        os.remove(NEXT_BOOT)
    except OSError:
        return "run"
    return kind if kind in KINDS else "run"


def is_whole() -> bool:
    try:
        with open(MANIFEST) as file:
            lines = file.read().split("\n")
        matches = [is_unchanged(line[:64], line[65:]) for line in lines if line]
    except (OSError, ValueError):
        return False
    return len(matches) > 0 and all(matches)


def is_unchanged(digest: str, path: str) -> bool:
    hashed = hashlib.sha256()
    with open(path, "rb") as file:
        piece = file.read(512)
        while piece:
            hashed.update(piece)
            piece = file.read(512)
    return binascii.hexlify(hashed.digest()).decode() == digest


def release_outputs() -> None:
    # Boots that never heat give the pins back: inputs, held low by the resistors outside.
    for pin in (wiring.SSR_PIN, wiring.RELAY_PIN):
        if pin is not None:
            machine.Pin(pin, machine.Pin.IN)


heatcontroller.boot_kind = asked_for()
if heatcontroller.boot_kind != "service" and not is_whole():
    heatcontroller.boot_kind = "service"
if heatcontroller.boot_kind in ("service", "hil"):
    release_outputs()
if heatcontroller.boot_kind == "hil":
    sys.path.append(HIL_FOLDER)
