"""A plan that is over within two minutes, for tests that run a whole one and need no planner."""

from __future__ import annotations

from typing import Any

SHORT: dict[str, Any] = {
    "plan": 1,
    "name": "short",
    "id": "00c0ffee",
    "law": "setpoint",
    "tick_ms": 250,
    "t_ms": [0, 40_000, 60_000, 80_000],
    "y_mc": [25_000, 50_000, 60_000, 30_000],
    "u": [],
    "b_mc": [],
    "gains": [[0, 100, 1, 0, 8, 0]],
    "stages": [[0, "preheat"], [40_000, "soak"], [60_000, "ramp_down"]],
    "waits": [],
    "stretch_ms": 30_000,
    "limits": {
        "sensor_max_mc": 260_000,
        "board_max_mc": 260_000,
        "run_max_ms": 300_000,
        "rise_max_mk_s": 20_000,
    },
    "deviation": [],
    "start": {"sensor_min_mc": 0, "sensor_max_mc": 50_000, "rest_min_s": 0},
    "door_cue_ms": 60_000,
    "host_lost": "stop",
}
