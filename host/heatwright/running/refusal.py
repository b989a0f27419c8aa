"""A controller that would not start a plan on a warm source: how long it has to wait for it."""

from __future__ import annotations

import re

from heatwright.planning import starting
from heatwright.planning.model import Model
from heatwright.running.job import Job
from heatwright.running.target import Refused

TOO_HOT, READS = "too_hot", re.compile(r"(-?\d+) C")


def with_wait(refused: Refused, job: Job) -> Refused:
    """The same refusal, and by the fitted source how long it takes to cool; else unchanged."""
    found = READS.search(refused.text)
    if refused.code != TOO_HOT or job.source is None or found is None:
        return refused
    model = Model(job.source.plant_params(), job.asked.ambient_c)
    ready = starting.ready(model, job.plan, float(found[1]))
    return Refused(refused.verb, refused.code, f"{refused.text}. {ready}")
