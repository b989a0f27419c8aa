"""Folders of runs for the tests of the archive: small records, documents that name themselves."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np

import records_made


def run(root: Path, name: str, *, verdict: str | None = "pass", **documents: str) -> Path:
    """A run's folder with three samples; ``documents`` are names by kind: board="Logger"."""
    place = root / name
    place.mkdir(parents=True)
    for kind, text in documents.items():
        (place / f"{kind}.toml").write_text(f'name = "{text}"\n')
    started = f"{name[:4]}-{name[4:6]}-{name[6:8]}T12:00:00+01:00"
    readings_c = np.array([25.0, 26.0, 27.0])
    records_made.write(place / "record.txt", readings_c, started=started, name="bake")
    if verdict:
        told = {"verdict": verdict, "peak_board_c": 241.6, "paste": documents.get("paste")}
        (place / "verdict.json").write_text(json.dumps(told))
    return place
