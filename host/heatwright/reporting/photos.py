"""Photographs for a report: read, checked to be pictures, and put into the page as they are."""

from __future__ import annotations

import base64
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from heatwright import sentences
from heatwright.errors import BadInput, Fault

# A telephone's photograph is 3 to 8 MB; the page must still open.
LARGEST_BYTES = 20_000_000
# SVG is left out: it can hold scripts.
STARTS = {
    b"\xff\xd8\xff": "image/jpeg",
    b"\x89PNG\r\n\x1a\n": "image/png",
    b"GIF87a": "image/gif",
    b"GIF89a": "image/gif",
}


@dataclass(frozen=True)
class Photo:
    """One photograph: its file's name, its bytes and what kind they are."""

    name: str
    kind: str
    data: bytes

    @property
    def uri(self) -> str:
        return data_uri(self.kind, self.data)


def data_uri(kind: str, data: bytes) -> str:
    """Bytes as an address that needs no network."""
    return f"data:{kind};base64,{base64.b64encode(data).decode()}"


def read_photos(paths: Sequence[Path]) -> tuple[Photo, ...]:
    """Read photographs. Raises `BadInput` for all that can't be shown, at once."""
    faults: list[Fault] = []
    found = [photo for path in paths if (photo := _read(path, faults))]
    if faults:
        raise BadInput(*faults)
    return tuple(found)


def _read(path: Path, faults: list[Fault]) -> Photo | None:
    try:
        with path.open("rb") as file:
            data = file.read(LARGEST_BYTES + 1)
    except OSError as error:
        faults.append(_refused(path, str(error.strerror)))
        return None
    kind = _kind(data)
    if kind is None or len(data) > LARGEST_BYTES:
        large = f"more than {LARGEST_BYTES // 1_000_000} MB"
        faults.append(_refused(path, large if kind else "another kind of file"))
        return None
    return Photo(path.name, kind, data)


def _kind(data: bytes) -> str | None:
    if data[:4] == b"RIFF" and data[8:12] == b"WEBP":
        return "image/webp"
    return next((kind for start, kind in STARTS.items() if data.startswith(start)), None)


def _refused(path: Path, found: str) -> Fault:
    return Fault(
        sentences.PHOTO_REFUSED,
        str(path),
        found,
        sentences.PHOTO_EXPECTED,
        sentences.PHOTO_CURE,
    )
