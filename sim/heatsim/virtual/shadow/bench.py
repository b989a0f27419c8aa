# What the simulated chip stands on: a virtual clock, pins, and whatever hangs on them. `machine`
# and `time` beside this file are thin fronts of it. For MicroPython's unix port, and for tests
# under CPython; never for a chip, whose own modules these would hide.

import sys
from array import array

if sys.platform not in ("linux", "darwin"):
    raise ImportError("simulated modules: these never go on a chip, remove them")

PINS = 48
# A real call of ticks_ms() costs a few microseconds; in virtual time it must cost something, or a
# loop that waits for the clock would never end.
CALL_US = 2
NEVER_US = 1 << 60

now_us = 0
# Added to what ticks show, so that a run can be laid across the wrap.
ticks_start_us = 0
# A sleep ends on a multiple of this: how coarse the simulated port's timer is. 0: exact.
quantum_us = 0

levels = 0  # bit n: the chip drives pin n high
drives = 0  # bit n: pin n is an output
grounded = 0  # bit n: something outside pulls pin n to ground
pull_ups = 0
driven = []  # the pins that ever were outputs
# One block, which wire.py sends as it stands: its head, then each pin's time driven high.
HEAD = 12
frame = array("q", [0] * (HEAD + PINS))
on_us = memoryview(frame)[HEAD:]
_since_us = array("q", [0] * PINS)

spi_devices = {}  # select pin: object with exchange(sent, count) -> bytes, asked while it is low
i2c_devices = {}  # address: the same
adc = {}  # pin: 0..65535, or a function that gives it
log = []  # (now_us, pin, level), filled once it is wanted
logs = False

has_hard_timers = False  # whether Timer takes hard=True, as some ports do
watchdog_us = 0  # 0: not started
_fed_us = 0
_timers = []
_masked = False  # interrupts are off: no timer fires
due_us = NEVER_US
cause = 1  # machine.PWRON_RESET
uid = b"\x00virtual"
sync = None  # called after every sleep, where the clock is tied to something outside


class Reset(BaseException):
    # The chip starts again. Where a host watches, it kills the process instead.
    pass


def _raise_reset(why):
    raise Reset(why)


on_reset = _raise_reset


# --- clock ---


def advance(us):
    global now_us
    end_us = now_us + us
    while due_us <= end_us:
        now_us = max(now_us, due_us)
        _happen()
    now_us = end_us


def sleep(us):
    global now_us
    end_us = now_us + us
    if quantum_us:
        end_us = (end_us + quantum_us - 1) // quantum_us * quantum_us
    if end_us < due_us:
        now_us = end_us
    else:
        advance(end_us - now_us)
    if sync is not None:
        sync()


def _happen():
    if watchdog_us and now_us >= _fed_us + watchdog_us:
        on_reset(3)  # machine.WDT_RESET
    for timer in _timers[:]:
        if now_us >= timer.due_us and not _masked:
            timer.fire()
    find_due()


def find_due():
    global due_us
    due_us = _fed_us + watchdog_us if watchdog_us else NEVER_US
    for timer in () if _masked else _timers:
        due_us = min(due_us, timer.due_us)


def mask_timers(masked):
    global _masked
    was, _masked = _masked, masked
    find_due()
    return was


def feed(timeout_us):
    global watchdog_us, _fed_us
    watchdog_us = timeout_us
    _fed_us = now_us
    find_due()


def start_timer(timer):
    if timer not in _timers:
        _timers.append(timer)
    find_due()


def stop_timer(timer):
    if timer in _timers:
        _timers.remove(timer)
    find_due()


# --- pins ---


def set_output(pin):
    global drives
    if not drives >> pin & 1:
        drives |= 1 << pin
        if pin not in driven:
            driven.append(pin)
        _since_us[pin] = now_us


def set_input(pin, pulled_up):
    global drives, pull_ups
    settle(pin)
    drives &= ~(1 << pin)
    pull_ups = pull_ups | 1 << pin if pulled_up else pull_ups & ~(1 << pin)


def set_level(pin, level):
    global levels
    bit = 1 << pin
    if level:
        if not levels & bit:
            _since_us[pin] = now_us
            levels |= bit
            _note(pin, 1)
    elif levels & bit:
        settle(pin)
        levels &= ~bit
        _note(pin, 0)


def get_level(pin):
    if drives >> pin & 1:
        return levels >> pin & 1
    return pull_ups >> pin & 1 & ~(grounded >> pin)


def settle(pin):
    # An input's level counts for nothing: its pull-down holds the output off.
    if levels >> pin & 1 and drives >> pin & 1:
        on_us[pin] += now_us - _since_us[pin]
    _since_us[pin] = now_us


def _note(pin, level):
    if logs:
        log.append((now_us, pin, level))


# --- buses ---


def spi_exchange(sent, count):
    for select in spi_devices:
        if drives >> select & 1 and not levels >> select & 1:
            return spi_devices[select].exchange(sent, count)
    return b"\xff" * count  # nobody drives the line: it floats high


def i2c_device(address):
    if address not in i2c_devices:
        raise OSError(5)
    return i2c_devices[address]


def clear():
    # As after power-up: for tests that share one interpreter.
    global now_us, ticks_start_us, quantum_us, levels, drives, grounded, pull_ups
    global watchdog_us, _fed_us, cause, sync, on_reset, logs
    now_us = ticks_start_us = quantum_us = levels = drives = grounded = pull_ups = 0
    watchdog_us = _fed_us = 0
    cause = 1
    sync = None
    on_reset = _raise_reset
    logs = False
    mask_timers(False)
    for kept in (driven, log, _timers):
        kept[:] = []
    for kept in (spi_devices, i2c_devices, adc):
        kept.clear()
    for pin in range(PINS):
        on_us[pin] = _since_us[pin] = 0
    find_due()
