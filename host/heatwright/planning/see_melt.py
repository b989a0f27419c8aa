"""The plan of a see-it-melt run: steady heat, and a person who confirms every half minute.

The tool ends it: on the mark and a short while after, or when the hottest plausible board is at its
ceiling. The plan itself only bounds what happens when nobody does: no press, no heat.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from heatcore import limits
from heatcore import plan as core
from heatsim.plant import STEP_S
from heatwright import sentences
from heatwright.documents import Paste, Source
from heatwright.errors import EXIT_VERDICT, HeatwrightError
from heatwright.measuring import plausible
from heatwright.measuring.measurement import SENSOR
from heatwright.planning import plan_file
from heatwright.records.units import duty_from_fraction, mc_from_c, ms_from_s

# Gentle first: slow heating leaves the ceiling less to guess; slower still would use up the flux,
# and is for those that need it. Full heat is never needed for long.
DUTIES = (0.6, 0.5, 0.8, limits.DUTY_MAX / 10_000)
# From here on paste smokes and boards can be spoilt: somebody must be there.
PRESENCE_C = 150.0
PRESENCE_S, ANSWER_S = 30.0, 15.0
# A source twice as slow as its kind is another kind.
TIME_ROOM, LONGEST_S = 1.6, 1100.0
# A controller's configuration allows half an hour for a whole run.
LONGEST_RUN_S, REST_S = 1800.0, 60.0
COOLING_S, EDGE_S = 240.0, 0.25
SENSOR_MAX_C = 290.0
ROOM_C = (0.0, 45.0)
WARM_LOOK_S = 5.0


class NotSafe(HeatwrightError):
    """No see-it-melt run with this source and paste: too little is known of it."""

    exit_code = EXIT_VERDICT


def see_melt_plan(source: Source, paste: Paste, reads: str = SENSOR) -> bytes:
    """The `duty` plan for a source of which only the kind is known; ``reads``: its sensor's node.

    Raises:
        NotSafe: the hottest plausible board would be past its ceiling before the nominal one melts.
    """
    duty, melts_s = _gentlest(source, paste, reads)
    end_s = min(melts_s * TIME_ROOM + 60.0, LONGEST_S)
    asks_s = np.arange(_warm_s(source, duty, reads), end_s, PRESENCE_S)
    held = duty_from_fraction(duty)
    most_s = LONGEST_RUN_S - end_s - COOLING_S - REST_S
    stretch_s = min(len(asks_s) * ANSWER_S, most_s)
    doc: dict[str, Any] = {
        "plan": core.VERSION,
        "name": "see it melt",
        "id": "",
        "law": "duty",
        "tick_ms": limits.TICK_MS,
        "t_ms": [ms_from_s(s) for s in (0.0, end_s, end_s + EDGE_S, end_s + COOLING_S)],
        "y_mc": [],
        "u": [held, held, 0, 0],
        "b_mc": [],
        "gains": [],
        "stages": [[0, "preheat"], [ms_from_s(float(asks_s[0])), "ramp_up"],
                   [ms_from_s(end_s), "ramp_down"]],
        "waits": [[ms_from_s(float(at_s)), "press", 0, ms_from_s(ANSWER_S), held]
                  for at_s in asks_s],
        "stretch_ms": ms_from_s(stretch_s),
        "limits": {
            "sensor_max_mc": _sensor_max_mc(reads),
            "board_max_mc": limits.BOARD_MAX_MC,
            "run_max_ms": ms_from_s(end_s + COOLING_S + stretch_s + REST_S),
            "rise_max_mk_s": limits.RISE_MAX_MK_S,
        },
        "deviation": [],
        "start": {"sensor_min_mc": mc_from_c(ROOM_C[0]), "sensor_max_mc": mc_from_c(ROOM_C[1]),
                  "rest_min_s": 0},
        "door_cue_ms": ms_from_s(end_s),
        "host_lost": "stop",
    }  # fmt: skip
    return plan_file.with_id(doc)


def _sensor_max_mc(reads: str) -> int:
    return mc_from_c(SENSOR_MAX_C) if reads == SENSOR else limits.BOARD_MAX_MC


def _gentlest(source: Source, paste: Paste, reads: str) -> tuple[float, float]:
    """The first duty that melts this paste under the ceiling, and when the nominal source does."""
    hottest: list[float] = []
    for duty in DUTIES:
        allowed, hottest_c = plausible.melts_under_ceiling(source, duty, paste.liquidus_c, reads)
        if allowed:
            _, board_c = plausible.nominal_run(source, duty)
            return duty, float(np.argmax(board_c >= paste.liquidus_c)) * STEP_S
        hottest += [hottest_c] if np.isfinite(hottest_c) else []
    raise NotSafe(
        sentences.NOT_SAFE.format(
            kind=source.kind,
            paste=paste.name,
            hottest=min(hottest, default=float("nan")),
            ceiling=plausible.CEILING_C,
        )
    )


def _warm_s(source: Source, duty: float, reads: str) -> float:
    """When the hottest plausible board is warm enough for somebody to be there."""
    run, board_c = plausible.nominal_run(source, duty, reads)
    cold = plausible.until(run, round(WARM_LOOK_S / STEP_S))
    nominal_s = float(np.argmax(board_c >= PRESENCE_C)) * STEP_S
    for at_s in np.arange(WARM_LOOK_S, nominal_s, WARM_LOOK_S):
        seen = plausible.until(run, round(float(at_s) / STEP_S))
        if plausible.hottest_c(source, seen) >= PRESENCE_C:
            return float(at_s)
    return max(nominal_s, float(cold.time_s[-1]))
