"""Replays the golden inputs and hashes what a record would hold of them.

The hash is that of a record: SHA-256 over the JSON text of each "s" and "e" line and a line feed.
"""

import hashlib
import json

from heatcore import codes, command, inputs, plan
from heatcore.loop import ControlLoop

GOLDEN = __file__.rsplit("/", 1)[0] + "/golden.txt"
# As in the run that was recorded: a room, a host that is there, no second sensor, no switches.
STEADY = {"cold_junction_mc": 28_000, "host_age_ms": 0}


def golden():
    """The plan's bytes, the names of the columns, and the rows of integers."""
    with open(GOLDEN, "rb") as file:
        lines = file.read().split(b"\n")
    rows = [[int(cell) for cell in text.split()] for text in lines[3:] if text]
    return lines[0] + b"\n" + lines[1], lines[2].decode().split(), rows


class Recorder:
    def __init__(self, data):
        self.loop = ControlLoop(plan.read(data))
        self.inputs = inputs.Inputs()
        for name in STEADY:
            setattr(self.inputs, name, STEADY[name])
        self.digest = hashlib.sha256()
        self.seq = 0
        self._before = (0, 0)

    def tick(self, now_ms):
        given, answer = self.inputs, self.loop.tick(now_ms, self.inputs)
        told = [getattr(given, name) for name in inputs.FIELDS]
        said = [getattr(answer, name) for name in command.FIELDS]
        self.write(["s", self.seq, now_ms] + told + said)
        stage, trip = self._before
        if answer.stage != stage:
            self.write(["e", self.seq, now_ms, codes.EVENT_STAGE, answer.stage, stage])
        if answer.trip != trip:
            numbers = [self.loop.trip_seen, self.loop.trip_expected]
            self.write(["e", self.seq, now_ms, answer.trip] + numbers)
        self._before = (answer.stage, answer.trip)
        return answer

    def write(self, values):
        self.digest.update(json.dumps(values, separators=(",", ":")).encode() + b"\n")
        self.seq += 1

    def hash(self):
        return "".join(["%02x" % byte for byte in self.digest.digest()])


def replay(lost_from=1 << 29):
    """The whole of it; from tick lost_from on the sensor is open."""
    data, names, rows = golden()
    recorder = Recorder(data)
    for tick, row in enumerate(rows):
        for column, name in enumerate(names[1:]):
            setattr(recorder.inputs, name, row[column + 1])
        if tick >= lost_from:
            recorder.inputs.sensor_status = inputs.OPEN
        recorder.tick(row[0])
    return recorder


if __name__ == "__main__":
    print(replay().hash(), replay(1_000).hash())
