"""A tick of the state machine takes nothing from the heap: a full heap can't keep it from off."""

from heap import heap_lock, heap_unlock
from workbench import Bench, document

from heatcontroller.states import COOLING, IDLE, RUNNING, TRIPPED


def locked_tick(found, **changes):
    """One tick with the heap locked; what the fake keeps of events is made room for before."""
    for name in changes:
        setattr(found.inputs, name, changes[name])
    found.now_ms += 250
    found._read()
    machine, now_ms, inputs = found.machine, found.now_ms, found.inputs
    machine.say = silent
    heap_lock()
    try:
        machine.step(now_ms, inputs)
    finally:
        heap_unlock()
    return machine.state


def silent(run_ms, code, seen, expected):
    pass


def test_every_tick_of_a_run():
    found = Bench(doc=document()).begin()
    while found.machine.state == RUNNING:
        locked_tick(found, sensor_mc=max(22_000, found.machine.command.y_mc))
    assert found.machine.state == COOLING
    for _ in range(200):
        locked_tick(found, sensor_mc=found.inputs.sensor_mc - 500)
        if found.machine.state == IDLE:
            break


def test_stop_in_the_middle():
    found = Bench(doc=document()).begin()
    found.follow_plan(20)
    assert locked_tick(found, stop=1) == COOLING
    assert found.outputs.is_off


def test_heat_is_off_before_a_trip_needs_memory():
    found = Bench(doc=document()).begin()
    found.follow_plan(20)
    found.store.note_marker = out_of_memory
    found.tick(4, sensor_mc=260_000)
    assert found.machine.state == TRIPPED
    assert found.outputs.is_off


def out_of_memory(text):
    raise MemoryError


def test_idle():
    found = Bench(doc=document())
    for _ in range(20):
        locked_tick(found)
    assert found.machine.state == IDLE
