"""The golden trace: recorded inputs give these commands, bit for bit, on every interpreter.

A change of these hashes is a change of what the controller does: it needs a reason.
"""

from core.replay import replay
from heatcore import codes, inputs

WHOLE = "353c62d6cbf9b9499a45489f2233775f5823e042471941476936b181d4a47ff8"
SENSOR_LOST = "89dd615d53d54cc44350dd59e33df311e1d2904ce8ba0b59c3e8ce8df3f95aa5"


def test_a_recorded_run():
    recorder = replay()
    assert recorder.loop.ended
    assert recorder.loop.command.note == codes.NOTE_FINISHED
    assert recorder.loop.saturations() == 0
    assert recorder.hash() == WHOLE


def test_the_same_run_with_the_sensor_lost_on_the_way():
    recorder = replay(lost_from=1_000)
    assert recorder.loop.command.trip == inputs.OPEN
    assert recorder.hash() == SENSOR_LOST
