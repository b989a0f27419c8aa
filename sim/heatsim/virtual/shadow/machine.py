# The chip's `machine`, on the simulated bench. Costs of transfers are those of the wire alone.

import bench

PWRON_RESET, HARD_RESET, WDT_RESET, DEEPSLEEP_RESET, SOFT_RESET = 1, 2, 3, 4, 5


class Pin:
    IN, OUT, OPEN_DRAIN = 0, 1, 2
    PULL_UP, PULL_DOWN = 1, 2
    IRQ_RISING, IRQ_FALLING = 8, 4

    def __init__(self, id, mode=-1, pull=-1, *, value=None):
        self.id = id.id if isinstance(id, Pin) else id
        if not 0 <= self.id < bench.PINS:
            raise ValueError("invalid pin")
        self.init(mode, pull, value=value)

    def init(self, mode=-1, pull=-1, *, value=None):
        # As on the chips: the level is set first, so that an output never shows the old one.
        if value is not None:
            bench.set_level(self.id, value)
        if mode == Pin.OUT or mode == Pin.OPEN_DRAIN:
            bench.set_output(self.id)
        elif mode == Pin.IN:
            bench.set_input(self.id, pull == Pin.PULL_UP)

    def __call__(self, level=None):
        if level is None:
            return bench.get_level(self.id)
        bench.set_level(self.id, level)

    value = __call__

    def on(self):
        bench.set_level(self.id, 1)

    def off(self):
        bench.set_level(self.id, 0)

    def toggle(self):
        bench.set_level(self.id, not bench.get_level(self.id))


class SPI:
    MSB, LSB = 0, 1

    def __init__(self, id, baudrate=1000000, *, polarity=0, phase=0, bits=8, firstbit=0, **pins):
        self.id = id
        self.init(baudrate, polarity=polarity, phase=phase)

    def init(self, baudrate=1000000, *, polarity=0, phase=0, bits=8, firstbit=0):
        self.baudrate = baudrate
        self.polarity = polarity
        self.phase = phase

    def deinit(self):
        pass

    def _exchange(self, sent, count):
        bench.advance(count * 8000000 // self.baudrate)
        return bench.spi_exchange(sent, count)

    def readinto(self, buffer, write=0):
        buffer[:] = self._exchange(bytes([write] * len(buffer)), len(buffer))

    def read(self, count, write=0):
        return self._exchange(bytes([write] * count), count)

    def write(self, data):
        self._exchange(bytes(data), len(data))

    def write_readinto(self, data, buffer):
        buffer[:] = self._exchange(bytes(data), len(buffer))


SoftSPI = SPI


class I2C:
    def __init__(self, id=-1, *, scl=None, sda=None, freq=400000, timeout=50000):
        self.id = id
        self._freq = freq

    def _spend(self, count):
        # Nine clocks a byte, and the address.
        bench.advance((count + 1) * 9000000 // self._freq)

    def scan(self):
        return sorted(bench.i2c_devices)

    def writeto(self, address, data, stop=True):
        device = bench.i2c_device(address)
        self._spend(len(data))
        device.exchange(bytes(data), 0)
        return len(data)

    def writevto(self, address, parts, stop=True):
        return self.writeto(address, b"".join([bytes(part) for part in parts]))

    def readfrom_into(self, address, buffer, stop=True):
        device = bench.i2c_device(address)
        self._spend(len(buffer))
        buffer[:] = device.exchange(b"", len(buffer))


SoftI2C = I2C


class ADC:
    CORE_TEMP = 4

    def __init__(self, id, **options):
        self.id = id.id if isinstance(id, Pin) else id

    def read_u16(self):
        value = bench.adc.get(self.id, 0)
        return value() if callable(value) else value


class PWM:
    # A free-running output: never on a heater pin, so it heats nothing here either.
    def __init__(self, pin, *, freq=0, duty_u16=0, duty_ns=0):
        self.pin = pin.id
        self._freq = freq
        self._duty = duty_u16

    def freq(self, value=None):
        if value is None:
            return self._freq
        self._freq = value

    def duty_u16(self, value=None):
        if value is None:
            return self._duty
        self._duty = value

    def deinit(self):
        self._duty = 0


class WDT:
    # Once started it can't be stopped; starved, it resets the chip.
    def __init__(self, id=0, timeout=5000):
        self._timeout_us = timeout * 1000
        self.feed()
        if bench.sync is not None:
            # From now on a program that hangs is watched from outside.
            bench.sync()

    def feed(self):
        bench.feed(self._timeout_us)


class Timer:
    ONE_SHOT, PERIODIC = 0, 1

    def __init__(self, id=-1, **options):
        self.due_us = bench.NEVER_US
        if options:
            self.init(**options)

    def init(self, *, mode=1, period=0, freq=0, callback=None, hard=False):
        if hard and not bench.has_hard_timers:
            raise TypeError("extra keyword arguments given")
        self._mode = mode
        self._period_us = 1000000 // freq if freq else period * 1000
        self._callback = callback
        self.due_us = bench.now_us + self._period_us
        bench.start_timer(self)

    def fire(self):
        if self._mode == Timer.PERIODIC:
            self.due_us += self._period_us
        else:
            self.deinit()
        self._callback(self)

    def deinit(self):
        self.due_us = bench.NEVER_US
        bench.stop_timer(self)


def reset():
    bench.on_reset(HARD_RESET)


def soft_reset():
    raise SystemExit


def reset_cause():
    return bench.cause


def unique_id():
    return bench.uid


def freq(hz=None):
    return 125000000 if hz is None else None


def idle():
    bench.sleep(1000)


def disable_irq():
    return bench.mask_timers(True)


def enable_irq(state):
    bench.mask_timers(state)
