"""Simulated converters for the shadow chip's bus, each as its data sheet describes it.

`exchange(sent, count)` is one transfer with the chip selected. Runs on CPython and MicroPython.
"""

import bench


def drive(pin, level):
    """What hangs on an input: 0 pulls it to ground, 1 leaves it to its pull-up."""
    if level:
        bench.grounded &= ~(1 << pin)
    else:
        bench.grounded |= 1 << pin


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
    request bit and puts the results where `places` says.
    """

    def __init__(self, start, request_bit, places):
        self.start = start
        self.registers = bytearray(start)
        self.request_bit = request_bit
        self.places = places
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
            for name, data in results.items():
                place = self.places[name]
                self.registers[place : place + len(data)] = data


def max31856_chip():
    """Sixteen registers; CR0 bit 6 asks for a conversion; faults masked at power-up."""
    start = bytes((0, 0, 0xFF)) + bytes(13)
    return Registers(start, 0x40, {"junction": 0x0A, "bead": 0x0C, "faults": 0x0F})


def max31865_chip():
    """Eight registers; configuration bit 5 asks for a conversion; high limit wide open."""
    start = bytes((0, 0, 0, 0xFF, 0xFF, 0, 0, 0))
    return Registers(start, 0x20, {"ratio": 1, "faults": 7})
