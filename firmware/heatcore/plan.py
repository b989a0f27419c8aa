"""The plan as the controller runs it: read strictly, copied into integer arrays before arming.

A plan is one JSON object, LF, and eight hex digits of the CRC-32 of the object's bytes.
"""

import json
from array import array

from heatcore.codes import DUTY as DUTY_LAW
from heatcore.codes import HOST_LOST, LAWS, SETPOINT, STAGES, STOP, TRACK, WAITS
from heatcore.fields import PlanError as PlanError
from heatcore.fields import (
    check_keys,
    fault,
    first_rows,
    named,
    number,
    numbers,
    plain_text,
    rising,
    rows,
    word,
)
from heatcore.limits import (
    BOARD_MAX_MC,
    DUTY_MAX,
    RISE_MAX_MK_S,
    RUN_MAX_MS,
    SENSOR_MAX_MC,
    TICK_MS,
)
from heatcore.line import CRC_DIGITS, checksum
from heatcore.tables import Plan as Plan

VERSION = 1
BYTES_MAX = 4096  # with the CRC: one block of a controller's file system
KNOTS_MAX = 120

PLAN_MIN_MC = -50_000  # no workshop is colder
GAIN_MAX = (1 << 20) - 1
SHIFT_MAX = 17  # four ticks a second make it 19 bits in the integral
FILTER_MAX_MS = 30_000
COEFFICIENT_MAX = (1 << 20) - 1  # the largest factor that Ratio takes
DEVIATION_MAX = 1_000_000
REST_MAX_S = 86_400
NO_CUE = -1

KEYS = (
    "plan",
    "name",
    "id",
    "law",
    "tick_ms",
    "t_ms",
    "y_mc",
    "u",
    "b_mc",
    "gains",
    "stages",
    "waits",
    "stretch_ms",
    "limits",
    "deviation",
    "start",
    "door_cue_ms",
    "host_lost",
)
LIMITS = ("sensor_max_mc", "board_max_mc", "run_max_ms", "rise_max_mk_s")
SENSOR_MAX = 0
BOARD_MAX = 1
RUN_MAX = 2
RISE_MAX = 3
START = ("sensor_min_mc", "sensor_max_mc", "rest_min_s")
START_MIN = 0
START_MAX = 1
START_REST = 2

# What may stand in each place.
MS = (0, RUN_MAX_MS)
TEMPERATURE = (PLAN_MIN_MC, SENSOR_MAX_MC)
DUTY = (0, DUTY_MAX)
GAIN = (0, GAIN_MAX)
COEFFICIENT = (-COEFFICIENT_MAX, COEFFICIENT_MAX)
DEVIATION = (0, DEVIATION_MAX)
SHIFT = (0, SHIFT_MAX)
WORD = (0, 0)  # this cell is a word
GAINS_ROW = (MS, GAIN, GAIN, GAIN, SHIFT, (0, FILTER_MAX_MS))
STAGES_ROW = (MS, WORD)
WAITS_ROW = (MS, WORD, TEMPERATURE, MS, DUTY)
DEVIATION_ROW = (MS,) + 2 * (COEFFICIENT, COEFFICIENT) + (SHIFT, DEVIATION, DEVIATION, DEVIATION)
LIMITS_ROW = ((0, SENSOR_MAX_MC), (0, BOARD_MAX_MC), (1, RUN_MAX_MS), (1, RISE_MAX_MK_S))
START_ROW = (TEMPERATURE, TEMPERATURE, (0, REST_MAX_S))
GAINS_WIDTH = 6
STAGES_WIDTH = 2
WAITS_WIDTH = 5
DEVIATION_WIDTH = 9
WARN_MK = 6
TRIP_MK = 7


def _filled(doc: dict[str, object]) -> Plan:
    plan = Plan()
    check_keys(doc, KEYS, "plan")
    number(doc["plan"], (VERSION, VERSION), "plan")
    number(doc["tick_ms"], (TICK_MS, TICK_MS), "tick_ms")
    plan.name = plain_text(doc["name"], "name")
    plan.id = _id(doc["id"])
    plan.law = word(doc["law"], LAWS, "law")
    plan.t_ms = numbers(doc["t_ms"], MS, "t_ms", KNOTS_MAX)
    plan.y_mc = numbers(doc["y_mc"], TEMPERATURE, "y_mc", KNOTS_MAX)
    plan.u = numbers(doc["u"], DUTY, "u", KNOTS_MAX)
    plan.b_mc = numbers(doc["b_mc"], TEMPERATURE, "b_mc", KNOTS_MAX)
    plan.gains = rows(doc["gains"], GAINS_ROW, (), "gains")
    plan.stages = rows(doc["stages"], STAGES_ROW, STAGES, "stages")
    plan.waits = rows(doc["waits"], WAITS_ROW, WAITS, "waits")
    plan.stretch_ms = number(doc["stretch_ms"], MS, "stretch_ms")
    plan.limits = named(doc["limits"], LIMITS, LIMITS_ROW, "limits")
    plan.deviation = rows(doc["deviation"], DEVIATION_ROW, (), "deviation")
    plan.start = named(doc["start"], START, START_ROW, "start")
    plan.door_cue_ms = number(doc["door_cue_ms"], (NO_CUE, RUN_MAX_MS), "door_cue_ms")
    plan.host_lost = word(doc["host_lost"], HOST_LOST, "host_lost")
    curves = (plan.t_ms, plan.y_mc, plan.u)
    plan.tables = curves + (plan.gains, plan.stages, plan.waits, plan.limits, plan.deviation)
    _check_whole(plan)
    return plan


def read(data: bytes) -> Plan:
    """The plan in these bytes; PlanError for anything else."""
    if len(data) > BYTES_MAX:
        raise fault("plan", "%d bytes" % len(data), "at most %d" % BYTES_MAX)
    body = data[: -CRC_DIGITS - 1]
    if data[-CRC_DIGITS - 1 :] != b"\n" + checksum(body):  # no third copy: memory is short
        raise fault("plan", "a wrong checksum", "the object, LF, its CRC-32; send it again")
    try:
        doc = json.loads(body)
    except (ValueError, RuntimeError):  # not JSON, or nested too deep
        raise fault("plan", "text that is not JSON", "one JSON object") from None
    return _filled(doc)


def write(doc: dict[str, object]) -> bytes:
    """The plan's bytes, keys in the contract's order; PlanError where read() would refuse it."""
    _filled(doc)
    parts = [_text(key) + ":" + _member(key, doc[key]) for key in KEYS]
    data = seal(("{" + ",".join(parts) + "}").encode())
    read(data)
    return data


def seal(body: bytes) -> bytes:
    return body + b"\n" + checksum(body)


def _member(key: str, value: object) -> str:
    names = {"limits": LIMITS, "start": START}.get(key)
    if names is None or not isinstance(value, dict):
        return _text(value)
    return "{" + ",".join([_text(name) + ":" + _text(value[name]) for name in names]) + "}"


def _text(value: object) -> str:
    return json.dumps(value, separators=(",", ":"))


def _id(value: object) -> str:
    if type(value) is str and len(value) == 8 and all(c in "0123456789abcdef" for c in value):
        return value
    raise fault("id", value, "8 lower-case hex digits")


def _check_whole(plan: Plan) -> None:
    """What no single field shows."""
    end_ms = _check_knots(plan)
    _check_row_times(plan, end_ms)
    _check_thresholds(plan.deviation)
    if end_ms + plan.stretch_ms > plan.limits[RUN_MAX]:
        raise fault("limits.run_max_ms", plan.limits[RUN_MAX], "the last t_ms and stretch_ms")
    if plan.start[START_MIN] > plan.start[START_MAX]:
        raise fault("start.sensor_min_mc", plan.start[START_MIN], "at most sensor_max_mc")
    if plan.law != TRACK and plan.host_lost != STOP:
        raise fault("host_lost", "continue", "stop: only a plan made for a known source goes on")


def _check_thresholds(table: "array[int]") -> None:
    for row in range(0, len(table), DEVIATION_WIDTH):
        if table[row + WARN_MK] > table[row + TRIP_MK]:
            raise fault("deviation", "warn_mk %d" % table[row + WARN_MK], "at most trip_mk")


def _check_knots(plan: Plan) -> int:
    knots = len(plan.t_ms)
    if knots < 2 or plan.t_ms[0] != 0:
        raise fault("t_ms", "%d knots" % knots, "two or more, the first at 0")
    rising(plan.t_ms, 1, "t_ms")
    _check_length(plan.y_mc, knots, plan.law != DUTY_LAW, "y_mc")
    _check_length(plan.u, knots, plan.law != SETPOINT, "u")
    _check_length(plan.b_mc, knots, plan.law == TRACK, "b_mc")
    _check_below(plan.y_mc, plan.limits[SENSOR_MAX], "y_mc")
    _check_below(plan.b_mc, plan.limits[BOARD_MAX], "b_mc")
    return plan.t_ms[knots - 1]


def _check_length(values: "array[int]", knots: int, needed: bool, where: str) -> None:
    if len(values) != knots and (needed or len(values)):
        raise fault(where, "%d knots" % len(values), "%d, as in t_ms" % knots)


def _check_below(values: "array[int]", ceiling: int, where: str) -> None:
    if len(values) and max(values) > ceiling:
        raise fault(where, max(values), "at most the plan's own limit %d" % ceiling)


def _check_row_times(plan: Plan, end_ms: int) -> None:
    first_rows(plan.stages, True, "stages")
    first_rows(plan.gains, plan.law != DUTY_LAW, "gains")
    first_rows(plan.deviation, False, "deviation")
    for table, width, where in (
        (plan.gains, GAINS_WIDTH, "gains"),
        (plan.stages, STAGES_WIDTH, "stages"),
        (plan.waits, WAITS_WIDTH, "waits"),
        (plan.deviation, DEVIATION_WIDTH, "deviation"),
    ):
        rising(table, width, where)
        if len(table) and table[len(table) - width] > end_ms:
            raise fault(where, table[len(table) - width], "times up to the last t_ms")
