"""Writes a record as the run goes: append-only, one line a write, on the disk within a second."""

from __future__ import annotations

import os
import time
from collections.abc import Callable, Mapping
from pathlib import Path

from heatcore import line
from heatcore.command import Command
from heatcore.inputs import Inputs
from heatwright import sentences
from heatwright.errors import BadInput, Fault
from heatwright.records import lines

# Power may fail at any moment: what has not been forced to the disk is lost.
SYNC_EVERY_S = 1.0


def _ignore(_: str) -> None:
    return


class RecordWriter:
    """The record of one run.

    A line goes to the operating system as soon as it is known, so that killing this program
    loses nothing, and to the disk once a second. A full or broken disk stops the recording and
    never the run: ``trouble`` then says why, ``report`` is called once, later lines are dropped.

    Args:
        path: the file to make; it must not exist, since a record is never written over.
        header: what the run was made with, short texts and whole numbers.
        report: called with one sentence when recording has to stop.
        clock: seconds, any start.

    Raises:
        BadInput: the file exists or can't be made.
    """

    def __init__(
        self,
        path: Path,
        header: Mapping[str, lines.Value],
        report: Callable[[str], None] = _ignore,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        self.path = path
        self.trouble: str | None = None
        self._report = report
        self._clock = clock
        self._trace = lines.Trace()
        self._file = _open_new(path)
        self._synced_s = clock()
        for values in lines.header(header):
            self.write(values)

    @property
    def trace_sha256(self) -> str:
        """The hash of all samples and events so far, also of those that found the disk full."""
        return self._trace.hexdigest()

    def sample(self, seq: int, now_ms: int, inputs: Inputs, command: Command) -> None:
        self.write(lines.sample(seq, now_ms, inputs, command))

    def event(self, seq: int, now_ms: int, code: int, seen: int, expected: int) -> None:
        self.write(lines.event(seq, now_ms, code, seen, expected))

    def truth(
        self, seq: int, now_ms: int, board_mc: int, small_mc: int, large_mc: int, air_mc: int
    ) -> None:
        self.write(lines.truth(seq, now_ms, board_mc, small_mc, large_mc, air_mc))

    def write(self, values: list[object]) -> None:
        """Append one line given as its list."""
        self.write_line(line.encode(values))

    def write_line(self, encoded: bytes) -> None:
        """Append one line that already carries its CRC, as a controller sends it."""
        self._trace.add(encoded)
        if self.trouble is None:
            self._guarded(lambda: self._append(encoded))

    def close(self) -> None:
        """Force the record to the disk and let go of it; calling it twice does no harm."""
        if self._file >= 0:
            file, self._file = self._file, -1
            self._guarded(lambda: _sync_and_close(file))

    def _append(self, encoded: bytes) -> None:
        while encoded:
            encoded = encoded[os.write(self._file, encoded) :]
        now_s = self._clock()
        if now_s - self._synced_s >= SYNC_EVERY_S:
            self._synced_s = now_s
            os.fsync(self._file)

    def _guarded(self, act: Callable[[], None]) -> None:
        try:
            act()
        except OSError as error:
            self._stop(error)

    def _stop(self, error: OSError) -> None:
        if self.trouble is None:
            self.trouble = sentences.RECORDING_STOPPED.format(path=self.path, reason=error.strerror)
            self._report(self.trouble)

    def __enter__(self) -> RecordWriter:
        return self

    def __exit__(self, *exc: object) -> None:
        self.close()


def _sync_and_close(file: int) -> None:
    try:
        os.fsync(file)
    finally:
        os.close(file)


def _open_new(path: Path) -> int:
    try:
        return os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL | os.O_APPEND, 0o644)
    except OSError as error:
        raise BadInput(
            Fault(
                sentences.NO_NEW_RECORD,
                str(path),
                str(error.strerror),
                sentences.NEW_RECORD_EXPECTED,
                sentences.OTHER_OUT,
            )
        ) from error
