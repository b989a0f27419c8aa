"""Records and pastes made for the tests of records and judging: no oven, curves by formula."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from heatcore.command import Command
from heatcore.inputs import OK, Inputs
from heatwright.documents.paste import Paste, PasteWindow
from heatwright.judging.curves import Floats
from heatwright.records import units
from heatwright.records.writer import RecordWriter

Points = tuple[tuple[float, float], ...]

TICK_S = 0.25
# Corners (s, C) of a run that every SAC305 window holds.
GOOD = ((0, 25), (125, 150), (215, 200), (245, 220), (270, 242), (295, 220), (395, 70), (455, 50))


def paste(**window: object) -> Paste:
    """SAC305 with the windows of the trade; keywords replace windows."""
    values: dict[str, object] = {
        "soak_c": (150.0, 200.0),
        "soak_s": (60.0, 120.0),
        "above_liquidus_s": (30.0, 90.0),
        "peak_c": (235.0, 250.0),
        "up_c_per_s": (0.5, 3.0),
        "down_c_per_s": (1.0, 4.0),
        "down_limit_c_per_s": 6.0,
        "above_c": 217.0,
    }
    return Paste(
        name="SAC305",
        alloy="SAC305",
        solidus_c=217.0,
        liquidus_c=220.0,
        window=PasteWindow.model_validate(values | window),
    )


def corners(points: Points, step_s: float = TICK_S) -> tuple[Floats, Floats]:
    """Straight lines through the corners, sampled at even steps."""
    at_s, value_c = np.array(points, dtype=float).T
    time_s = np.arange(at_s[0], at_s[-1] + step_s / 2, step_s)
    return time_s, np.interp(time_s, at_s, value_c)


def write(
    path: Path,
    sensor_c: Floats,
    truth_c: Floats | None = None,
    target_c: Floats | None = None,
    duty: Floats | None = None,
    **header: str | int,
) -> Path:
    """Write a record of one sample a tick; the header's placing decides who knows the board."""
    inputs, command = Inputs(), Command()
    with RecordWriter(path, {"on": "sim:toaster", **header}) as w:
        for seq, reading_c in enumerate(sensor_c):
            now_ms = 250 * seq
            inputs.sensor_mc = units.mc_from_c(float(reading_c))
            inputs.sensor_status, inputs.sensor_seq = OK, seq
            command.y_mc = units.mc_from_c(float((sensor_c if target_c is None else target_c)[seq]))
            command.duty = units.duty_from_fraction(0.0 if duty is None else float(duty[seq]))
            command.stage = min(seq * 5 // len(sensor_c), 4)
            w.sample(seq, now_ms, inputs, command)
            if truth_c is not None:
                true_mc = units.mc_from_c(float(truth_c[seq]))
                w.truth(seq, now_ms, true_mc, true_mc, true_mc, true_mc)
    return path
