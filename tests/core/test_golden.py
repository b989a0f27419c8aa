"""The golden trace: recorded inputs give these commands, bit for bit, on every interpreter.

A change of these hashes is a change of what the controller does: it needs a reason.
"""

from core.replay import replay
from heatcore import codes, inputs

WHOLE = "ff237cde8c1de35225ed4b143e5e15decbcf29118225f1f4cf3b25c881ed18b5"
SENSOR_LOST = "ac724418763f0396d01e7321de242f2acec8f976df41efddd6afa8162dac01ea"


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
