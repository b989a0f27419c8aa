# The USB serial port, never waited for: neither a full nor a silent host may delay a tick.

import select
import sys

# On a chip "room" means one byte of it, and a longer write may wait half a second for the host.
# On a pipe or a terminal of a laptop it means a page.
CHIPS = ("rp2", "esp32", "mimxrt", "samd", "stm32")
PIECE = 1 if sys.platform in CHIPS else 64


class Port:
    def __init__(self) -> None:
        self._in = select.poll()
        self._in.register(sys.stdin, select.POLLIN)
        self._out = select.poll()
        self._out.register(sys.stdout, select.POLLOUT)

    def read(self, buffer) -> int:
        count = 0
        while count < len(buffer) and self._in.poll(0):
            byte = sys.stdin.buffer.read(1)
            if not byte:
                break
            buffer[count] = byte[0]
            count += 1
        return count

    def write(self, view) -> int:
        sent = 0
        while sent < len(view) and self._out.poll(0):
            sent += sys.stdout.buffer.write(view[sent : sent + PIECE])
        return sent
