"""Simulated converters for the fake bus, each as its data sheet describes it; no firmware in it.

`exchange(sent, count)` is one transfer with the chip selected. Runs on CPython and MicroPython.
"""


class Word:
    """A chip that shifts out one word: MAX31855, MAX6675, or a dead line."""

    def __init__(self, word):
        self.word = word
        self.reads = 0

    def exchange(self, sent, count):
        self.reads += 1
        return self.word[:count]


class Registers:
    """A chip with registers: the first byte is the address, its top bit means write.

    A conversion that is asked for ends only when the test says so (`finish`), which clears the
    request bit and puts the result where it belongs.
    """

    def __init__(self, size, request_bit):
        self.start = bytearray(size)
        self.registers = bytearray(size)
        self.request_bit = request_bit
        self.writes = []

    def exchange(self, sent, count):
        if not sent[0] & 0x80:
            address = sent[0]
            return b"\x00" + bytes(self.registers[address : address + count - 1])
        self.writes.append(sent)
        first = sent[0] & 0x7F
        for offset, value in enumerate(sent[1:]):
            self.registers[first + offset] = value
        return b"\x00" * count

    def power_on(self):
        self.registers[:] = self.start

    def finish(self, **results):
        if self.registers[0] & self.request_bit:
            self.registers[0] &= ~self.request_bit & 0xFF
            for name, value in results.items():
                self.put(name, value)


class Max31856Chip(Registers):
    """Sixteen registers, 0x0A junction, 0x0C bead, 0x0F faults; CR0 bit 6 asks for a conversion."""

    PLACES = {"junction": 0x0A, "bead": 0x0C, "faults": 0x0F}

    def __init__(self):
        super().__init__(16, 0x40)
        self.start[2] = 0xFF
        self.power_on()

    def put(self, name, data):
        place = self.PLACES[name]
        self.registers[place : place + len(data)] = data


class Max31865Chip(Registers):
    """Eight registers, 1 and 2 the ratio, 7 faults; configuration bit 5 asks for a conversion."""

    PLACES = {"ratio": 1, "faults": 7}

    def __init__(self):
        super().__init__(8, 0x20)
        self.start[3] = self.start[4] = 0xFF
        self.power_on()

    def put(self, name, data):
        place = self.PLACES[name]
        self.registers[place : place + len(data)] = data
