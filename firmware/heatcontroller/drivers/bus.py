# One chip on a shared SPI bus. A transfer allocates nothing: each converter keeps its own buffers.

# All four converters take 4 MHz; long bench wires do not.
BAUDRATE = 1000000


class Bus:
    def __init__(self, spi) -> None:
        self.spi = spi
        self._phase = -1

    def clock_phase(self, phase: int) -> None:
        # Two kinds of converter may share the bus; it is set up anew only when they alternate.
        if phase != self._phase:
            self.spi.init(baudrate=BAUDRATE, polarity=0, phase=phase)
            self._phase = phase


class Chip:
    def __init__(self, bus: Bus, select, phase: int) -> None:
        self._bus = bus
        self._select = select
        self._phase = phase
        select(1)

    def read(self, buffer) -> None:
        self._begin()
        try:
            self._bus.spi.readinto(buffer)
        finally:
            self._select(1)

    def exchange(self, sent, buffer) -> None:
        self._begin()
        try:
            self._bus.spi.write_readinto(sent, buffer)
        finally:
            self._select(1)

    def write(self, sent) -> None:
        self._begin()
        try:
            self._bus.spi.write(sent)
        finally:
            self._select(1)

    def _begin(self) -> None:
        self._bus.clock_phase(self._phase)
        self._select(0)
