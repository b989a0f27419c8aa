"""The four kinds of record line as lists, and the hash of a run's trace.

Encoding and CRC are the core's own (``heatcore.line``): link, controller log and record share them.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator, Mapping, Sequence
from importlib.metadata import version
from typing import Any

from heatcore import codes
from heatcore.command import FIELDS as COMMAND_FIELDS
from heatcore.command import Command
from heatcore.inputs import FIELDS as INPUT_FIELDS
from heatcore.inputs import Inputs

HEADER, SAMPLE, EVENT, TRUTH = "h", "s", "e", "t"
VERSION = 1
SAMPLE_FIELDS = ("seq", "now_ms", *INPUT_FIELDS, *COMMAND_FIELDS)
EVENT_FIELDS = ("seq", "now_ms", "code", "seen", "expected")
TRUTH_FIELDS = ("seq", "now_ms", "board_mc", "small_mc", "large_mc", "air_mc")
FIELDS = {SAMPLE: SAMPLE_FIELDS, EVENT: EVENT_FIELDS, TRUTH: TRUTH_FIELDS}
# Notes under which the plan's clock stands.
WAITING = (codes.NOTE_WAIT_MARK, codes.NOTE_WAIT_PRESS, codes.NOTE_WAIT_ABOVE)

# What stands behind the array in a line: a space, eight hex digits, a line feed.
CRC_BYTES = 10
# A line holds at most 200 bytes; the rest of a header line takes about 60.
HEADER_TEXT_BYTES = 130

Value = str | int | None


def header(values: Mapping[str, Value]) -> Iterator[list[object]]:
    """One short header line a value: together four hashes would not fit into 200 bytes.

    This program's version stands first. Further keys, as far as they are known: ``name``;
    versions ``core``, ``firmware``; ``plan_sha256``, ``paste_sha256``, ``profile_sha256``,
    ``source_sha256`` of the files in the run's folder; ``on`` (as given to --on), ``controller``,
    ``seed``, ``started`` (ISO 8601 with offset); ``placing`` of the control sensor and
    ``second_placing``, in the words of the source document. Long texts are cut.
    """
    for key, value in {"heatwright": version("heatwright"), **values}.items():
        yield [HEADER, VERSION, {key: _short(value) if isinstance(value, str) else value}]


def _short(text: str) -> str:
    while len(json.dumps(text)) > HEADER_TEXT_BYTES:
        text = text[:-1]
    return text


def sample(seq: int, now_ms: int, inputs: Inputs, command: Command) -> list[object]:
    """One tick: what the core was told and what it commanded, in the order of the contract."""
    return [
        SAMPLE,
        seq,
        now_ms,
        *(getattr(inputs, name) for name in INPUT_FIELDS),
        *(getattr(command, name) for name in COMMAND_FIELDS),
    ]


def event(seq: int, now_ms: int, code: int, seen: int, expected: int) -> list[object]:
    """Something that happened: a trip, a mark, a stage, a stop, the door, arming."""
    return [EVENT, seq, now_ms, code, seen, expected]


def truth(
    seq: int, now_ms: int, board_mc: int, small_mc: int, large_mc: int, air_mc: int
) -> list[object]:
    """What a simulated plant knows and a person does not; never judged, never learnt from."""
    return [TRUTH, seq, now_ms, board_mc, small_mc, large_mc, air_mc]


def named(line: Sequence[Any]) -> dict[str, int]:
    """The values of a sample, event or truth line by their names."""
    return dict(zip(FIELDS[line[0]], line[1:], strict=True))


class Trace:
    """SHA-256 over sample and event lines in order: each array's text and a line feed, no CRC."""

    def __init__(self) -> None:
        self._hash = hashlib.sha256()

    def add(self, line: bytes) -> None:
        if line.startswith((b'["s"', b'["e"')):
            self._hash.update(line[:-CRC_BYTES] + b"\n")

    def hexdigest(self) -> str:
        return self._hash.hexdigest()
