"""Plans as the controller takes them: integers, limits, start window, sealed bytes."""

from __future__ import annotations

import hashlib
import json
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np

from heatcore import fields, limits
from heatcore import plan as core
from heatcore.numbers import clamp
from heatsim.plant import NODES
from heatwright.documents.profile import Profile
from heatwright.planning.trajectory import CUE_LATE_S, Trajectory
from heatwright.planning.tuning import Floats, Gains
from heatwright.records.units import MILLI, duty_from_fraction, mc_from_c, ms_from_s

# duty 0..10000 a mK, from duty 0..1 a K
DUTY_A_MK = 10.0
# With these the slowest source here stays calm; a quick one is only slower than it could be.
CAREFUL = Gains(duty_per_k=0.02, integral_s=150.0, derivative_s=15.0)
# Above what the plan itself reaches: room for feedback, not for a fault.
SENSOR_ROOM_K = 25.0
BOARD_ROOM_K = 15.0
# A plan that takes a fifth longer, and a minute, than it should has met a fault.
TIME_ROOM, TIME_ROOM_S = 1.2, 60.0
RISE_ROOM, RISE_ROOM_K_S = 1.5, 1.0
# How far a start may be from the plan's own, and how long after the last heat.
START_ROOM_K = 10.0
REST_S = 600
UNKNOWN_START_C = (0.0, 60.0)
# Without a source nobody knows what the sensor reads when the board is at its peak.
UNKNOWN_SENSOR_ROOM_K = 40.0


@dataclass(frozen=True)
class Beginning:
    """How a plan begins: the reading at arming, C (None: as in its first second), and its rest."""

    armed_c: float | None = None
    rest_s: int = REST_S


RESTED = Beginning()

# Where the clock may stand until the sensor has caught up: a source on weak mains lags behind.
WAIT_MAX_S, WAITING_STAGES = 60.0, ("soak", "ramp_up")
# A lag that feedback makes good by itself is not waited for.
WAIT_SLACK_K, END_SLACK_K = 2.0, 0.5
# A board that is lifted is lifted on temperature: the clock stands from so long before its time.
LIFT_LEAD_S = 8.0
# Below this share of the plan's most, heat only eases a board to its peak.
STRONG_SHARE = 0.5


def track(
    found: Trajectory,
    reads: str,
    gains: Sequence[tuple[float, Gains]],
    name: str,
    is_lifted: bool = False,
    beginning: Beginning = RESTED,
) -> bytes:
    """A `track` plan: the trajectory, the sensor's course in it, and what must never happen.

    ``gains`` stand each from its time on. The clock waits for a source that lags, at the end of
    preheat, of soak and of heating. ``is_lifted``: lifting the board is what ends its heating.
    ``reads`` is the node of the control sensor.
    """
    sensor_c = found.node(reads)
    highest_c = float(found.highest[NODES.index(reads)])
    waits = _waits(found, sensor_c, is_lifted)
    rise_k_s = float(np.max(np.diff(sensor_c) / np.diff(found.time_s)))
    doc = {
        "law": "track",
        "t_ms": [ms_from_s(t) for t in found.time_s],
        "y_mc": [mc_from_c(c) for c in sensor_c],
        "u": [duty_from_fraction(u) for u in _held(found)],
        "b_mc": [mc_from_c(c) for c in found.board_c],
        "gains": [gains_row(one, from_s) for from_s, one in gains],
        "stages": _stages(found.starts),
        "waits": waits,
        "stretch_ms": ms_from_s(WAIT_MAX_S * len(waits)),
        "limits": _limits(
            highest_c + SENSOR_ROOM_K,
            float(found.board_c.max()) + BOARD_ROOM_K,
            float(found.time_s[-1]) + WAIT_MAX_S * len(waits),
            RISE_ROOM * rise_k_s + RISE_ROOM_K_S,
        ),
        "start": _start(*_near(sensor_c[0], beginning), beginning.rest_s),
        "door_cue_ms": _cue_ms(found),
        "host_lost": "continue",
    }
    return _sealed(doc, name)


def setpoint(profile: Profile, paste_peak_c: float, gains: Gains) -> bytes:
    """A `setpoint` plan: the profile's own line, for a source that nobody has measured."""
    knots, starts = profile.knots, profile.starts
    cue = next((at_s for at_s, stage in starts if stage == "ramp_down"), None)
    rate_k_s = max((b.board_c - a.board_c) / (b.time_s - a.time_s) for a, b in pairwise(knots))
    peak_c = max(profile.peak_c, paste_peak_c)
    doc = {
        "law": "setpoint",
        "t_ms": [ms_from_s(knot.time_s) for knot in knots],
        "y_mc": [mc_from_c(knot.board_c) for knot in knots],
        "u": [],
        "b_mc": [],
        "gains": [gains_row(gains)],
        "stages": _stages(starts),
        "limits": _limits(
            peak_c + UNKNOWN_SENSOR_ROOM_K, peak_c + BOARD_ROOM_K, profile.duration_s, rate_k_s
        ),
        "start": _start(*UNKNOWN_START_C, 0),
        "door_cue_ms": core.NO_CUE if cue is None else ms_from_s(cue),
        "host_lost": "stop",
    }
    return _sealed(doc, profile.name)


def _sealed(doc: dict[str, Any], name: str) -> bytes:
    whole = {
        "plan": core.VERSION,
        "name": _plain(name),
        "id": "",
        "tick_ms": limits.TICK_MS,
        "waits": [],
        "stretch_ms": 0,
        "deviation": [],
        **doc,
    }
    return with_id(whole)


def with_id(doc: dict[str, Any]) -> bytes:
    """The plan's sealed bytes, named after all that it says: two plans that differ never meet."""
    text = json.dumps({**doc, "id": ""}, sort_keys=True)
    return core.write({**doc, "id": hashlib.sha256(text.encode()).hexdigest()[:8]})


def _plain(name: str) -> str:
    """The name as a small display can show it."""
    letters = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode()
    printable = "".join(letter for letter in letters if letter.isprintable())
    return printable[: fields.NAME_MAX].strip() or "plan"


def _held(found: Trajectory) -> Floats:
    """Duty half a tick on: the controller holds for a tick what it finds at its beginning.

    Not where heating ends: it falls so steeply there that the last knots would droop.
    """
    ahead = np.interp(found.time_s + limits.TICK_MS / 2000, found.time_s, found.duty)
    return np.where(found.time_s < found.cut_s, ahead, found.duty)


def _cue_ms(found: Trajectory) -> int:
    return core.NO_CUE if found.door_cue_s is None else ms_from_s(found.door_cue_s + CUE_LATE_S)


def _waits(found: Trajectory, sensor_c: Floats, is_lifted: bool) -> list[list[Any]]:
    """Rows of waits for the sensor to be where it ought to be; none above liquidus but the last."""
    end_s, lift_s = _heats_until_s(found), found.cut_s - LIFT_LEAD_S
    begins = [at_s for at_s, name in found.starts if name in WAITING_STAGES and at_s > 0]
    rows = [(at_s, at_s, WAIT_SLACK_K) for at_s in begins if at_s < end_s - 1.0]
    rows.append((end_s, end_s, END_SLACK_K))
    if is_lifted:
        rows = [row for row in rows if row[0] < lift_s - 1.0]
        rows.append((lift_s, found.cut_s, END_SLACK_K))
    return [
        [
            ms_from_s(at_s),
            "above",
            mc_from_c(float(np.interp(value_s, found.time_s, sensor_c)) - slack_k),
            ms_from_s(WAIT_MAX_S),
            duty_from_fraction(_hold(found, at_s, end_s)),
        ]
        for at_s, value_s, slack_k in rows
    ]


def _hold(found: Trajectory, at_s: float, end_s: float) -> float:
    """The duty of a wait: all that the plan ever uses, but no new heat for a board that coasts."""
    if at_s <= end_s:
        return float(found.duty.max())
    return float(np.interp(at_s, found.time_s, found.duty))


def _heats_until_s(found: Trajectory) -> float:
    """When heating in earnest ends: later the board coasts, and no clock can help it up."""
    strong = found.duty >= STRONG_SHARE * found.duty.max()
    return float(found.time_s[np.flatnonzero(strong)[-1]])


def gains_row(gains: Gains, from_s: float = 0.0) -> list[int]:
    """A row of a plan's gains, with the finest shift that holds them."""
    kp = DUTY_A_MK * gains.duty_per_k
    parts = (kp, kp / gains.integral_s, kp * gains.derivative_s)
    shift = core.SHIFT_MAX
    while shift and max(parts) * (1 << shift) > core.GAIN_MAX:
        shift -= 1
    whole = [clamp(round(part * (1 << shift)), 0, core.GAIN_MAX) for part in parts]
    filter_s = gains.filter_s if gains.derivative_s else 0.0
    return [ms_from_s(from_s), *whole, shift, ms_from_s(filter_s)]


def _stages(starts: Sequence[tuple[float, str]]) -> list[list[object]]:
    """Each stage from its start; of two that begin at once the later one stands."""
    rows = {0 if i == 0 else ms_from_s(at_s): name for i, (at_s, name) in enumerate(starts)}
    return [[at_ms, name] for at_ms, name in sorted(rows.items())]


def _limits(sensor_c: float, board_c: float, run_s: float, rise_k_s: float) -> dict[str, int]:
    return {
        "sensor_max_mc": min(mc_from_c(sensor_c), limits.SENSOR_MAX_MC),
        "board_max_mc": min(mc_from_c(board_c), limits.BOARD_MAX_MC),
        "run_max_ms": min(ms_from_s(run_s * TIME_ROOM + TIME_ROOM_S), limits.RUN_MAX_MS),
        "rise_max_mk_s": clamp(round(rise_k_s * MILLI), 1, limits.RISE_MAX_MK_S),
    }


def _start(low_c: float, high_c: float, rest_s: int) -> dict[str, int]:
    return {
        "sensor_min_mc": mc_from_c(low_c),
        "sensor_max_mc": mc_from_c(high_c),
        "rest_min_s": rest_s,
    }


def _near(first_c: float, beginning: Beginning) -> tuple[float, float]:
    """Around the first reading in heat, and around that at arming where it lies elsewhere."""
    armed_c = first_c if beginning.armed_c is None else beginning.armed_c
    return min(first_c, armed_c) - START_ROOM_K, max(first_c, armed_c) + START_ROOM_K
