"""The core at the end of a pipe: a row of readings in, a duty out, the hash at the end."""

import sys

from core.replay import Recorder, golden


def serve():
    recorder = Recorder(golden()[0])
    given = recorder.inputs
    given.sensor_status = given.sensor_age_ms = 0
    while True:
        cells = sys.stdin.readline().split()
        if not cells:
            break
        given.sensor_mc, given.mark, given.press = [int(cell) for cell in cells[1:]]
        given.sensor_seq += 1
        print(recorder.tick(int(cells[0])).duty)
    print(recorder.hash())


if __name__ == "__main__":
    serve()
