"""Pictures of the panel, to look at: `python draw_panel.py FOLDER` writes one PNG a scene."""

import os
import subprocess
import sys
from pathlib import Path

import matplotlib.image
import numpy as np

HERE = Path(__file__).resolve().parent
ROOT = HERE.parents[2]
SHADOW = ROOT / "sim" / "heatsim" / "virtual" / "shadow"
FOLDERS = (ROOT / "firmware", SHADOW, HERE.parent / "fakes", HERE)
SCALE = 4


def scenes():
    """Name and glass (64 x 128 array of 0 and 1) of each scene, drawn by MicroPython."""
    path = ":".join([*map(str, FOLDERS), ".frozen"])
    done = subprocess.run(
        [Path(sys.executable).parent / "micropython", "-X", "heapsize=4096wK", "chip_panel.py"],
        env={**os.environ, "MICROPYPATH": path},
        cwd=HERE,
        capture_output=True,
        text=True,
        timeout=120,
        check=True,
    )
    return {name: glass(data) for name, data in (line.split() for line in done.stdout.splitlines())}


def glass(hex_bytes):
    """A page is 128 columns of eight dots, the lowest bit on top."""
    pages = np.frombuffer(bytes.fromhex(hex_bytes), np.uint8).reshape(8, 1, 128)
    return np.unpackbits(pages, axis=1, bitorder="little").reshape(64, 128)


def main(folder):
    Path(folder).mkdir(parents=True, exist_ok=True)
    for name, dots in scenes().items():
        large = np.kron(dots, np.ones((SCALE, SCALE), np.uint8))
        matplotlib.image.imsave(Path(folder) / f"{name}.png", large, cmap="gray")


if __name__ == "__main__":
    main(sys.argv[1])
