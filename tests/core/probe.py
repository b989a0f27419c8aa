# Runs under MicroPython: the golden inputs through the core, timed, with the heap watched.
import gc
import json
import time

from core.replay import golden
from heatcore import plan
from heatcore.inputs import Inputs
from heatcore.loop import ControlLoop


def main():
    data, _, rows = golden()
    read = plan.read(data)
    gc.collect()
    before = gc.mem_alloc()
    loop = ControlLoop(read)
    given = Inputs()
    held = gc.mem_alloc() - before
    given.host_age_ms = 0
    gc.disable()
    taken = ticking_us = 0
    for row in rows:
        given.sensor_mc, given.sensor_status, given.sensor_seq = row[1], row[2], row[3]
        given.sensor_age_ms, given.mark, given.press = row[4], row[5], row[6]
        before = gc.mem_alloc()
        began = time.ticks_us()
        loop.tick(row[0], given)
        ticking_us += time.ticks_diff(time.ticks_us(), began)
        taken += gc.mem_alloc() - before
    print(
        json.dumps(
            {
                "ticks_a_second": len(rows) * 1000000 // max(1, ticking_us),
                "bytes_a_tick": taken / len(rows),
                "bytes_held": held,
            }
        )
    )


main()
