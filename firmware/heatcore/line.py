"""One line of a record or of the link: a JSON array, a space, its CRC-32, LF."""

import binascii
import json

LINE_MAX = 200  # bytes with LF: fits a USB packet or four, and one write of a small flash page
PIECE_MAX = 512  # a line that carries a piece of a plan
CRC_DIGITS = 8


def checksum(data: bytes) -> bytes:
    return b"%08x" % (binascii.crc32(data) & 0xFFFFFFFF)


def encode(values: object) -> bytes:
    body = json.dumps(values, separators=(",", ":")).encode()
    return body + b" " + checksum(body) + b"\n"


def decode(data: bytes, limit: int = LINE_MAX) -> list[object] | None:
    """The array, or None for anything that is not a whole and sound line."""
    body = _sound_body(data, limit)
    if body is None:
        return None
    try:
        values = json.loads(body)
    except (ValueError, RuntimeError):  # not JSON, or nested too deep
        return None
    return values if type(values) is list else None


def _sound_body(data: bytes, limit: int) -> bytes | None:
    if len(data) > limit:
        return None
    if data[-1:] == b"\n":
        data = data[:-1]
    body = data[: -CRC_DIGITS - 1]
    return body if data == body + b" " + checksum(body) else None
