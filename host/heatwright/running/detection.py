"""Before real heat: how soon a fault of the heater should be noticed in this very run."""

from __future__ import annotations

from heatcore.limits import RESPONSE_MS, RISE_OFF_LOOSE_MK
from heatwright import sentences
from heatwright.planning.residual import noticed_after
from heatwright.running.job import Job

WELDED, DEAD = 1.0, 0.0


def detection(job: Job) -> list[str]:
    """A sentence on a relay welded shut, and one on a heater that gives no heat."""
    if job.source is None or not job.plan.deviation:
        return [
            sentences.RISE_IS_LOOSE.format(allowed_k=RISE_OFF_LOOSE_MK / 1000),
            sentences.DEAD_IS_LATE.format(seconds=RESPONSE_MS / 1000),
        ]
    weld, dead = (
        noticed_after(
            job.source, job.data, stuck, reads=job.asked.sensor, ambient_c=job.asked.ambient_c
        )
        for stuck in (WELDED, DEAD)
    )
    return [
        sentences.WELD_NOTICED.format(seconds=weld[0], duty=weld[1])
        if weld
        else sentences.WELD_UNSEEN,
        sentences.DEAD_NOTICED.format(seconds=dead[0])
        if dead
        else sentences.DEAD_IS_LATE.format(seconds=RESPONSE_MS / 1000),
    ]
