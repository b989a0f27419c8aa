"""Which coach and which readings the person's --sensor asks for."""

from __future__ import annotations

from pathlib import Path

from heatwright.coaching.advisor import Advisor
from heatwright.coaching.coach import Coach
from heatwright.coaching.outfit import Outfit
from heatwright.coaching.readings import TYPED_SILENT_S, CsvTail, Readings, Typed, listen
from heatwright.coaching.timed import PATIENCE, Timed, timed_plan
from heatwright.coaching.watch import SILENT_S

NONE, TYPED, CSV = "none", "typed", ".csv"


def readings_for(sensor: str) -> Readings:
    """Open what is to be read. Raises `BadInput`, `NoController`."""
    if sensor in (NONE, TYPED):
        return Typed()
    return CsvTail(Path(sensor)) if sensor.casefold().endswith(CSV) else listen(sensor)


def coach_for(outfit: Outfit, sensor: str) -> Coach:
    """A plan by the clock where nothing measures, else the coach that looks ahead."""
    if sensor == NONE:
        return Timed(outfit.source, outfit.paste, timed_plan(outfit.source, outfit.paste, PATIENCE))
    silent_s = TYPED_SILENT_S if sensor == TYPED else SILENT_S
    return Advisor(outfit.source, outfit.paste, outfit.bead, silent_s=silent_s)
