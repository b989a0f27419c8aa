# Bytes in, whole lines out; lines in, bytes out as there is room. Bounded in both directions.

from heatcore.line import PIECE_MAX

# Two answers of the longest kind, or five ticks of telemetry.
OUT_BYTES = 1280
# Read at one go: a flood takes its share of a turn and no more.
READ_BYTES = 64

LF = 10
CTRL_C = 3


class Receiver:
    def __init__(self, port) -> None:
        self._port = port
        self._chunk = bytearray(READ_BYTES)
        self._line = bytearray(PIECE_MAX)
        self._used = 0
        self._at = 0
        self._count = 0
        self._lost = False
        self.skipped = 0
        self.stop_seen = False

    def next_line(self) -> bytes | None:
        # At most one line a call: the rest of the chunk waits for the next turn.
        if self._at >= self._count:
            self._count = self._port.read(self._chunk)
            self._at = 0
        while self._at < self._count:
            byte = self._chunk[self._at]
            self._at += 1
            if byte == LF:
                line = self._take()
                if line is not None:
                    return line
            else:
                self._put(byte)
        return None

    def _put(self, byte: int) -> None:
        if byte == CTRL_C:
            self.stop_seen = True
        if self._used < PIECE_MAX:
            self._line[self._used] = byte
            self._used += 1
        else:
            self._lost = True

    def _take(self) -> bytes | None:
        whole = not self._lost
        used = self._used
        self._used = 0
        self._lost = False
        if whole and used:
            return bytes(memoryview(self._line)[:used])
        self.skipped += 1
        return None


class Sender:
    def __init__(self, port) -> None:
        self._port = port
        self._bytes = bytearray(OUT_BYTES)
        self._view = memoryview(self._bytes)
        self._head = 0
        self._tail = 0
        self.dropped = 0

    def has_room(self, count: int) -> bool:
        return self._tail + count <= OUT_BYTES

    def is_busy(self) -> bool:
        return self._head < self._tail

    def queue(self, line: bytes) -> bool:
        if not self.has_room(len(line)):
            return False
        self._bytes[self._tail : self._tail + len(line)] = line
        self._tail += len(line)
        return True

    def drain(self) -> None:
        if self._head < self._tail:
            self._head += self._port.write(self._view[self._head : self._tail])
        if self._head >= self._tail:
            self._head = self._tail = 0
