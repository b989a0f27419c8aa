"""tick() takes no memory: whole runs with the heap locked, where the interpreter can lock it."""

from core.oven import Oven
from core.plans import document, make, open_loop, plain
from heatcore.loop import ControlLoop

try:
    from micropython import heap_lock, heap_unlock
except ImportError:  # CPython has no such lock; the runs are made all the same

    def heap_lock():
        pass

    heap_unlock = heap_lock


def locked_run(doc, ticks, trip_from=1 << 29):
    loop = ControlLoop(make(doc))
    duties = [0] * 41
    oven = Oven()
    given = oven.inputs
    noted = 0
    heap_lock()
    try:
        tick = 0
        while tick < ticks:
            command = loop.tick(tick * 250, given)
            duties[tick % 41] = command.duty
            oven.rise_mk += (duties[(tick + 1) % 41] * 50 - oven.rise_mk) // 480
            oven.show()
            given.sensor_status = 1 if tick >= trip_from else 0
            given.press += 1
            given.mark = 1 if tick > 700 else 0
            noted |= 1 << command.note
            tick += 1
    finally:
        heap_unlock()
    return loop, noted


def test_a_trajectory_with_waits_to_its_end():
    loop, noted = locked_run(document(), 1_300)
    assert loop.ended
    assert loop.command.trip == 0
    assert noted & (1 << 1)
    assert noted & (1 << 2)
    assert noted & (1 << 9)


def test_a_plain_profile_with_a_wait_to_its_end():
    waits = [[60_000, "above", 200_000, 40_000, 4_000]]
    loop, noted = locked_run(plain(waits=waits), 1_300)
    assert loop.ended
    assert noted & (1 << 3)


def test_open_loop_to_its_end():
    loop, _ = locked_run(open_loop(), 1_100)
    assert loop.ended


def test_a_trip():
    loop, _ = locked_run(document(), 600, trip_from=300)
    assert loop.command.trip == 1


def test_no_mark_in_time():
    waits = [[100_000, "mark", 0, 5_000, 4_000]]
    loop, noted = locked_run(document(waits=waits), 600)
    assert noted & (1 << 4)
    assert loop.command.duty == 0
