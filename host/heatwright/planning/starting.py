"""When a plan may start: its window of the sensor, and how long until a warm source is there."""

from __future__ import annotations

from heatcore.plan import START_MAX, START_MIN, START_REST, Plan
from heatwright import sentences
from heatwright.planning import warm
from heatwright.planning.model import Model

# Said no finer than a model of cooling is known.
MINUTE_S = 60.0


def window(plan: Plan) -> str:
    """From which reading, and how long after the last heat, the controller will start this plan."""
    low_c, high_c = plan.start[START_MIN] / 1000, plan.start[START_MAX] / 1000
    rest_min = plan.start[START_REST] / MINUTE_S
    rest = sentences.PLAN_REST.format(minutes=rest_min) if rest_min else ""
    return sentences.PLAN_START.format(low=low_c, high=high_c, rest=rest)


def ready(model: Model, plan: Plan, sensor_c: float) -> str:
    """ "oven 72 °C; ready in about 14 min": the source left to cool with its door shut."""
    high_c = plan.start[START_MAX] / 1000
    thing = sentences.SOURCE_THINGS[model.params.structure]
    if sensor_c <= high_c:
        return sentences.PLAN_READY.format(thing=thing, now=sensor_c)
    if high_c <= model.ambient_c:
        return sentences.PLAN_NEVER.format(thing=thing, now=sensor_c, room=model.ambient_c)
    wait_s = warm.wait_s(model, warm.at_reading(model, sensor_c), high_c)
    minutes = max(round(wait_s / MINUTE_S), 1)
    return sentences.PLAN_WAIT.format(thing=thing, now=sensor_c, minutes=minutes)
