# The chip's `time`, on the simulated bench: 30-bit ticks that wrap, as on 32-bit boards.

import bench

MASK = (1 << 30) - 1
HALF = 1 << 29
# A chip without a battery wakes up at this date.
EPOCH_S = 1609459200


def ticks_us():
    return _spent() & MASK


def ticks_ms():
    return _spent() // 1000 & MASK


def _spent():
    now_us = bench.now_us + bench.CALL_US
    if now_us >= bench.due_us:
        bench.advance(bench.CALL_US)
    else:
        bench.now_us = now_us
    return bench.ticks_start_us + bench.now_us


ticks_cpu = ticks_us


def ticks_add(ticks, delta):
    return (ticks + delta) & MASK


def ticks_diff(later, earlier):
    return ((later - earlier + HALF) & MASK) - HALF


def sleep_us(us):
    bench.sleep(max(us, 0))


def sleep_ms(ms):
    bench.sleep(max(ms, 0) * 1000)


def sleep(s):
    bench.sleep(max(int(s * 1000000), 0))


def time():
    return EPOCH_S + bench.now_us // 1000000


def time_ns():
    return (EPOCH_S * 1000000 + bench.now_us) * 1000


def localtime(s=None):
    return (2021, 1, 1, 0, 0, 0, 4, 1)


gmtime = localtime
