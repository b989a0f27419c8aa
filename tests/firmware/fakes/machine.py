"""A stand-in for the chip's `machine` module, for tests on a laptop (CPython and MicroPython).

`Pin.levels` holds every pin, `Pin.log` every change of an output. A device on a bus is any object
with `exchange(sent: bytes, count: int) -> bytes`, put into `SPI.devices` under its select pin's
number (it answers while that pin is low) or into `I2C.devices` under its address.
"""

PWRON_RESET = 1
HARD_RESET = 2
WDT_RESET = 3
DEEPSLEEP_RESET = 4
SOFT_RESET = 5


class Reset(Exception):
    """The chip was reset; a test catches it where a real chip would start again."""


class Pin:
    IN = 0
    OUT = 1
    OPEN_DRAIN = 2
    PULL_UP = 1
    PULL_DOWN = 2
    levels = {}
    modes = {}
    log = []

    def __init__(self, id, mode=-1, pull=-1, *, value=None):
        self.id = id
        self.init(mode, pull, value=value)

    def init(self, mode=-1, pull=-1, *, value=None):
        if mode != -1:
            Pin.modes[self.id] = mode
        if value is not None:
            self.value(value)
        elif self.id not in Pin.levels:
            Pin.levels[self.id] = 1 if pull == Pin.PULL_UP else 0

    def value(self, level=None):
        if level is None:
            return Pin.levels[self.id]
        level = 1 if level else 0
        if Pin.levels.get(self.id) != level:
            Pin.log.append((self.id, level))
        Pin.levels[self.id] = level
        return None

    __call__ = value

    def on(self):
        self.value(1)

    def off(self):
        self.value(0)


class SPI:
    MSB = 0
    devices = {}

    def __init__(self, id, baudrate=1000000, *, polarity=0, phase=0, bits=8, firstbit=0, **pins):
        self.id = id
        self.pins = pins
        self.init(baudrate, polarity=polarity, phase=phase)

    def init(self, baudrate=1000000, *, polarity=0, phase=0, bits=8, firstbit=0):
        self.baudrate = baudrate
        self.polarity = polarity
        self.phase = phase

    def _answer(self, sent, count):
        for select, device in SPI.devices.items():
            if Pin.levels.get(select) == 0:
                return device.exchange(sent, count)
        return b"\xff" * count  # nothing pulls the line down

    def readinto(self, buffer, write=0):
        buffer[:] = self._answer(bytes([write] * len(buffer)), len(buffer))

    def write(self, data):
        self._answer(bytes(data), len(data))

    def write_readinto(self, data, buffer):
        buffer[:] = self._answer(bytes(data), len(buffer))


class I2C:
    devices = {}

    def __init__(self, id, *, scl=None, sda=None, freq=400000, timeout=50000):
        self.id = id

    def _device(self, address):
        if address not in I2C.devices:
            raise OSError(5)
        return I2C.devices[address]

    def scan(self):
        return sorted(I2C.devices)

    def writeto(self, address, data, stop=True):
        self._device(address).exchange(bytes(data), 0)
        return len(data)

    def writevto(self, address, parts, stop=True):
        return self.writeto(address, b"".join(bytes(part) for part in parts))

    def readfrom_into(self, address, buffer, stop=True):
        buffer[:] = self._device(address).exchange(b"", len(buffer))


SoftI2C = I2C
SoftSPI = SPI


class ADC:
    values = {}
    CORE_TEMP = 4

    def __init__(self, id, **options):
        self.id = id.id if isinstance(id, Pin) else id

    def read_u16(self):
        return ADC.values.get(self.id, 0)


class PWM:
    log = []

    def __init__(self, pin, *, freq=0, duty_u16=0, duty_ns=0):
        self.pin = pin.id
        self._freq = freq
        self.duty_u16(duty_u16)

    def freq(self, value=None):
        if value is None:
            return self._freq
        self._freq = value
        return None

    def duty_u16(self, value=None):
        if value is None:
            return self._duty
        self._duty = value
        PWM.log.append((self.pin, self._freq, value))
        return None

    def deinit(self):
        self._duty = 0


class WDT:
    started = []
    fed = 0

    def __init__(self, id=0, timeout=5000):
        WDT.started.append(timeout)

    def feed(self):
        WDT.fed += 1


class Timer:
    ONE_SHOT = 0
    PERIODIC = 1

    def __init__(self, id=-1, **options):
        self.options = options

    def init(self, **options):
        self.options = options

    def deinit(self):
        self.options = {}


cause = [PWRON_RESET]


def reset():
    raise Reset()


def soft_reset():
    raise Reset()


def reset_cause():
    return cause[0]


def unique_id():
    return b"\x00fakechip"


def freq(hz=None):
    return 125000000 if hz is None else None


def clear():
    """Forget everything, between tests."""
    for store in (Pin.levels, Pin.modes, SPI.devices, I2C.devices, ADC.values):
        store.clear()
    for seen in (Pin.log, PWM.log, WDT.started):
        del seen[:]
    WDT.fed = 0
    cause[0] = PWRON_RESET
