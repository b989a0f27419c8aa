# May this plan start now? None, or why not and how long to wait, as (code, text).

from heatcore.inputs import OK
from heatcore.plan import RUN_MAX, SENSOR_MAX, START_MAX, START_MIN, START_REST

from .off_proof import has_current

# A plan that holds without a reading's age still wants one from within two conversions.
AGE_MAX_MS = 1000


def refusal(plan, inputs, rested_s: int, fall_mk_per_min: int) -> tuple | None:
    if inputs.stop:
        return ("stop_pressed", "the stop button is pressed, or its wire is broken")
    if inputs.sensor_status != OK or not 0 <= inputs.sensor_age_ms <= AGE_MAX_MS:
        return ("no_reading", "the sensor gives no sound reading")
    if has_current(inputs):
        return ("current", "{} mA flow in the heater that is off".format(inputs.current_ma))
    return _temperature(plan.start, inputs.sensor_mc, fall_mk_per_min) or _rest(
        plan.start, rested_s
    )


def limits_refusal(plan) -> tuple | None:
    # The configuration may have tightened the plan's own limits: better told now than by a trip.
    hottest_mc = max(plan.y_mc) if plan.y_mc else 0
    if hottest_mc > plan.limits[SENSOR_MAX]:
        found, allowed = hottest_mc // 1000, plan.limits[SENSOR_MAX] // 1000
        text = "the plan goes to {} C; this controller's configuration allows {} C"
        return ("over_limits", text.format(found, allowed))
    longest_ms = plan.t_ms[len(plan.t_ms) - 1] + plan.stretch_ms
    if longest_ms > plan.limits[RUN_MAX]:
        found, allowed = longest_ms // 1000, plan.limits[RUN_MAX] // 1000
        text = "the plan may take {} s; this controller's configuration allows {} s"
        return ("over_limits", text.format(found, allowed))
    return None


def _temperature(start, sensor_mc: int, fall_mk_per_min: int) -> tuple | None:
    if sensor_mc < start[START_MIN]:
        return ("too_cold", _text("cold", sensor_mc, "at least", start[START_MIN]))
    if sensor_mc > start[START_MAX]:
        wait = _wait(sensor_mc - start[START_MAX], fall_mk_per_min)
        return ("too_hot", _text("hot", sensor_mc, "at most", start[START_MAX]) + wait)
    return None


def _text(word: str, sensor_mc: int, bound: str, limit_mc: int) -> str:
    found, wanted = sensor_mc // 1000, limit_mc // 1000
    return "too {} to start: {} C, the plan wants {} {} C".format(word, found, bound, wanted)


def _wait(excess_mk: int, fall_mk_per_min: int) -> str:
    # Cooling slows down as it goes, so a straight line from the last minute is the least to wait.
    if fall_mk_per_min <= 0:
        return "; wait until it has cooled"
    return "; wait at least {} s".format(excess_mk * 60 // fall_mk_per_min)


def _rest(start, rested_s: int) -> tuple | None:
    left_s = start[START_REST] - rested_s
    if left_s <= 0:
        return None
    return ("not_rested", "the source is still warm inside: wait {} s".format(left_s))
