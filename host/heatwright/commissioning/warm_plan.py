"""The low-power plan that ends a cold check: a tenth of the power, 20 seconds, 15 K at most."""

from __future__ import annotations

from typing import Any

from heatcore import limits
from heatcore import plan as core
from heatwright.planning.plan_file import with_id
from heatwright.records.units import mc_from_c, ms_from_s

POWER_DUTY = 1000  # of 10,000
HEAT_S = 20.0
RISE_K = 15.0
END_C = 60.0
# Beyond the end, for what is still in the element; a trip above that.
ROOM_K = 15.0
# A cold source only: this plan is the first heat that it sees.
START_C = (0.0, 40.0)
REST_OF_PLAN_MS = 1000


def warm_plan(start_c: float) -> bytes:
    """The plan for a source whose sensor reads ``start_c``: the wait for +15 K is all of it."""
    end_c = min(start_c + RISE_K, END_C)
    doc: dict[str, Any] = {
        "plan": core.VERSION,
        "name": "Cold check, a tenth of the power",
        "law": "duty",
        "tick_ms": limits.TICK_MS,
        "t_ms": [0, REST_OF_PLAN_MS],
        "y_mc": [],
        "u": [0, 0],
        "b_mc": [],
        "gains": [],
        "stages": [[0, "preheat"]],
        "waits": [[0, "above", mc_from_c(end_c), ms_from_s(HEAT_S), POWER_DUTY]],
        "stretch_ms": ms_from_s(HEAT_S),
        "limits": {
            "sensor_max_mc": mc_from_c(end_c + ROOM_K),
            "board_max_mc": mc_from_c(end_c + ROOM_K),
            "run_max_ms": ms_from_s(2 * HEAT_S),
            "rise_max_mk_s": 5000,
        },
        "deviation": [],
        "start": {
            "sensor_min_mc": mc_from_c(START_C[0]),
            "sensor_max_mc": mc_from_c(START_C[1]),
            "rest_min_s": 0,
        },
        "door_cue_ms": core.NO_CUE,
        "host_lost": "stop",
    }
    return with_id(doc)
