"""Plans for the core's own tests."""

from heatcore import plan


def document(**changes):
    """A small lead-free plan as the host would write it, with some keys replaced."""
    doc = {
        "plan": 1,
        "name": "bat-call logger",
        "id": "0badcafe",
        "law": "track",
        "tick_ms": 250,
        "t_ms": [0, 60_000, 120_000, 160_000, 180_000, 260_000],
        "y_mc": [25_000, 150_000, 180_000, 245_000, 245_000, 120_000],
        "u": [6_000, 5_000, 4_300, 8_500, 3_500, 0],
        "b_mc": [25_000, 120_000, 170_000, 225_000, 240_000, 130_000],
        "gains": [[0, 13_000, 130, 60_000, 16, 4_000], [120_000, 16_000, 160, 60_000, 16, 4_000]],
        "stages": [
            [0, "preheat"],
            [60_000, "soak"],
            [120_000, "ramp_up"],
            [145_000, "reflow"],
            [180_000, "ramp_down"],
        ],
        "waits": [[60_000, "press", 0, 30_000, 2_500], [160_000, "mark", 0, 40_000, 4_400]],
        "stretch_ms": 60_000,
        "limits": {
            "sensor_max_mc": 280_000,
            "board_max_mc": 260_000,
            "run_max_ms": 900_000,
            "rise_max_mk_s": 3_000,
        },
        "deviation": [],
        "start": {"sensor_min_mc": 5_000, "sensor_max_mc": 45_000, "rest_min_s": 300},
        "door_cue_ms": 180_000,
        "host_lost": "continue",
    }
    doc.update(changes)
    return doc


def plain(**changes):
    """The same, followed as a plain profile: no duty, no board, no waits."""
    doc = document(law="setpoint", u=[], b_mc=[], waits=[], host_lost="stop")
    doc.update(changes)
    return doc


def open_loop(**changes):
    doc = document(law="duty", y_mc=[], b_mc=[], gains=[], waits=[], host_lost="stop")
    doc.update(changes)
    return doc


def make(doc):
    return plan.read(plan.write(doc))
