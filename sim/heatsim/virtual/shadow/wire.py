# The wire from the simulated chip to the simulator: one frame out, one answer back, both blocks of
# 64-bit integers. The other end is heatsim.virtual.frames; the two change together.

import gc
from array import array

import bench
import flash
import uctypes

HELLO, SPI, I2C, ADC, SYNC, RESET, DOOMED = 1, 2, 3, 4, 5, 6, 7
# Head of a frame: kind, number, now_us, two arguments, 16 bytes sent, levels, drives, watchdog_us,
# free heap (where it was asked for).
ARG, SENT, LEVELS, FREE = 3, 5, 7, 10
# An answer: number, grounded pins, time to stall, an argument, 16 bytes.
ANSWER = 6

_frame = bench.frame
_sent = uctypes.bytearray_at(uctypes.addressof(_frame) + 8 * SENT, 16)
_answer = array("q", [0] * ANSWER)
_got = uctypes.bytearray_at(uctypes.addressof(_answer) + 8 * 4, 16)
_file = None
_reports = False


def ask(kind, first=0, second=0, sent=b"", more=None):
    for pin in bench.driven:
        bench.settle(pin)
    _frame[0] = kind
    _frame[1] += 1
    _frame[2] = bench.now_us
    _frame[ARG] = first
    _frame[ARG + 1] = second
    _sent[: len(sent)] = sent
    _frame[LEVELS] = bench.levels
    _frame[LEVELS + 1] = bench.drives
    _frame[LEVELS + 2] = bench.watchdog_us
    _file.write(_frame)
    if more is not None:
        _file.write(more)
    _hear()


def _hear():
    # An answer whose question was broken off by Ctrl-C is still on its way: it is passed over.
    while True:
        if not _file.readinto(_answer):
            raise SystemExit
        if _answer[0] == _frame[1]:
            break
    bench.grounded = _answer[1]
    if _answer[2]:
        bench.advance(_answer[2])


class Spi:
    def __init__(self, select):
        self._select = select

    def exchange(self, sent, count):
        if _reports:
            gc.collect()
            _frame[FREE] = gc.mem_free()
        ask(SPI, self._select, count, sent)
        return _got[:count]


class I2c:
    def __init__(self, address):
        self._address = address

    def exchange(self, sent, count):
        ask(I2C, self._address, len(sent), b"", sent)
        return _got[:count]


class Adc:
    def __init__(self, pin):
        self._pin = pin

    def __call__(self):
        ask(ADC, self._pin)
        return _answer[3]


def _sync():
    ask(SYNC)


def _reset(why):
    # Nothing of the program runs on: no `finally`, no handler. The simulator ends this process.
    ask(RESET, why)
    while _file.read(1):
        pass
    raise SystemExit


def doomed():
    # This process must not serve anybody.
    ask(DOOMED)
    _reset(0)


def open_file(number):
    global _file
    _file = open(number, "r+b")


def attach():
    # The first words: what is fitted, and how this start came about. See frames.greeting().
    global _reports
    gc.collect()
    _frame[FREE] = gc.mem_free()
    ask(HELLO)
    settings = _answer[3]
    bench.cause = settings & 7
    if settings & 8:
        bench.sync = _sync
    bench.quantum_us = settings >> 4 & 0xFFFF
    _reports = bool(settings >> 36 & 1)
    flash.begin((settings >> 37) * 1000)
    panel = settings >> 20 & 0x7F
    if panel:
        bench.i2c_devices[panel] = I2c(panel)
    analogue = settings >> 28 & 0x3F
    if analogue:
        bench.adc[analogue - 1] = Adc(analogue - 1)
    for pin in range(bench.PINS):
        if _got[pin >> 3] >> (pin & 7) & 1:
            bench.spi_devices[pin] = Spi(pin)
        # Outputs keep their levels through a soft reset.
        if _got[8 + (pin >> 3)] >> (pin & 7) & 1:
            bench.set_output(pin)
            bench.set_level(pin, 1)
    bench.on_reset = _reset
