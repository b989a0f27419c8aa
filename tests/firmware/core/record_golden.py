"""Records tests/core/golden.txt: what the core was told in one run on a simulated toaster.

Run it from the root, and only when the plan's format or the inputs change: what the planner and
the simulator make may change without it. The run has a noisy sensor, lost samples, a late tick, a
wait for a press and one for the melt mark. The hashes in tests/core/test_golden.py must then be
taken anew.
"""

import json
from pathlib import Path

from heatcore import plan
from heatcore.inputs import OPEN, Inputs
from heatcore.loop import ControlLoop
from heatsim.actuator import Actuator
from heatsim.plant import Plant
from heatsim.sensor import Sensor
from heatwright.documents import load_paste, load_profile, load_source
from heatwright.planning.nominal import plan_for_source
from heatwright.planning.wanted import Wanted

GOLDEN = Path("tests/core/golden.txt")
FIELDS = ("sensor_mc", "sensor_status", "sensor_seq", "sensor_age_ms", "mark", "press")
MELTS_MC = 217_000
LOST_TICKS = (200, 201, 640)
LATE_TICK = 400


def golden_plan(params):
    planned = plan_for_source(params, Wanted(load_paste("sac305"), load_profile("sac305")))
    doc = json.loads(planned.plan[: -plan.CRC_DIGITS - 1])
    starts = {name: at_ms for at_ms, name in doc["stages"]}
    doc["waits"] = [
        [starts["ramp_up"], "press", 0, 20_000, 3_000],
        [starts["reflow"] + 10_000, "mark", 0, 20_000, 6_000],
    ]
    kp, ki, _, shift = doc["gains"][0][1:5]
    doc["gains"] = [[0, kp, ki, 0, shift, 0], [starts["soak"], kp, ki // 2, kp * 5, shift, 5_000]]
    doc["stretch_ms"] = 40_000
    doc["limits"]["run_max_ms"] = max(doc["limits"]["run_max_ms"], doc["t_ms"][-1] + 40_000)
    return plan.write(doc)


def record():
    params = load_source("toaster").plant_params()
    data = golden_plan(params)
    loop, plant, actuator, given = ControlLoop(plan.read(data)), Plant(params), Actuator(), Inputs()
    sensor = Sensor("max31855", noise_k=0.2, seed=7)
    given.host_age_ms = 0
    truth = plant.temperatures()
    rows, now_ms, late_ms, tick = [], 0, 0, 0
    while not loop.ended and not loop.command.trip:
        sensor.status = OPEN if tick in LOST_TICKS else 0
        sensor.serve(now_ms, truth["sensor"], 28.0)
        sensor.fill(now_ms, given)
        rows.append([now_ms, *(getattr(given, name) for name in FIELDS)])
        command = loop.tick(now_ms, given)
        given.press += command.note == 2 and tick % 40 == 0
        given.mark = int(truth["board"] * 1000 > MELTS_MC)
        late_ms = 180 if tick == LATE_TICK else 0
        power = actuator.share((250 + late_ms) / 1000, command.duty, command.relay)
        truth = plant.step((250 + late_ms) / 1000, power, float(command.door_cue))
        now_ms += 250 + late_ms
        tick += 1
    return data, rows, loop


def main():
    data, rows, loop = record()
    table = [["now_ms", *FIELDS], *rows]
    text = "".join(" ".join(map(str, row)) + "\n" for row in table)
    GOLDEN.write_bytes(data + b"\n" + text.encode())
    print(f"{len(rows)} ticks, note {loop.command.note}, trip {loop.command.trip}")


if __name__ == "__main__":
    main()
