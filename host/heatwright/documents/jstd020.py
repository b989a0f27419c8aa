"""What a component package must survive: IPC/JEDEC J-STD-020, revision D (2008).

Pinned to revision D: many component sheets print revision C's figures under D's name. These are
not board-assembly profiles: they bind a run only by their upper ends and maximum rates, measured at
the centre of the package top.
"""

from __future__ import annotations

import math
from typing import Literal, NamedTuple

Process = Literal["tin_lead", "lead_free"]
MoistureLevel = Literal["1", "2", "2a", "3", "4", "5", "5a", "6"]

SOURCE = "IPC/JEDEC J-STD-020 revision D (2008)"
# the layout of the table of tin-lead classification temperatures is from memory, not confirmed
SOURCE_OF: dict[Process, str] = {
    "lead_free": f"{SOURCE}, Tables 4-2 and 5-2",
    "tin_lead": f"{SOURCE}, Table 5-2, and Table 4-1 from memory",
}
# time at peak is counted within this distance of the classification temperature
NEAR_PEAK_K = 5.0


class Classification(NamedTuple):
    """Table 5-2: the profile at which a package is classified."""

    soak_from_c: float
    soak_to_c: float
    soak_low_s: float
    soak_high_s: float
    ramp_up_max_c_per_s: float
    liquidus_c: float
    above_liquidus_low_s: float
    above_liquidus_high_s: float
    near_peak_s: float
    ramp_down_max_c_per_s: float
    to_peak_max_s: float


TIN_LEAD = Classification(100, 150, 60, 120, 3, 183, 60, 150, 20, 6, 360)
LEAD_FREE = Classification(150, 200, 60, 120, 3, 217, 60, 150, 30, 6, 480)
CLASSIFICATION: dict[Process, Classification] = {"tin_lead": TIN_LEAD, "lead_free": LEAD_FREE}

# J-STD-020/033: hours out of the dry bag at no more than 30 °C and 60 % relative humidity
FLOOR_LIFE_H: dict[MoistureLevel, float] = {
    "1": math.inf,
    "2": 8760.0,
    "2a": 672.0,
    "3": 168.0,
    "4": 72.0,
    "5": 48.0,
    "5a": 24.0,
    "6": 0.0,  # bake before use, then the time on the label
}


def classification_c(process: Process, thickness_mm: float, volume_mm3: float) -> float:
    """The classification temperature Tc of a package, °C (Table 4-1 or 4-2)."""
    return (
        _lead_free_c(thickness_mm, volume_mm3)
        if process == "lead_free"
        else _tin_lead_c(thickness_mm, volume_mm3)
    )


def _lead_free_c(thickness_mm: float, volume_mm3: float) -> float:
    # Table 4-2; columns: under 350, 350 to 2000, over 2000 mm³
    column = 0 if volume_mm3 < 350 else 1 if volume_mm3 <= 2000 else 2
    if thickness_mm < 1.6:
        return 260.0
    return (260.0, 250.0, 245.0)[column] if thickness_mm <= 2.5 else (250.0, 245.0, 245.0)[column]


def _tin_lead_c(thickness_mm: float, volume_mm3: float) -> float:
    # Table 4-1; its layout is from memory, not confirmed
    return 235.0 if thickness_mm < 2.5 and volume_mm3 < 350 else 220.0


class PartLimits(NamedTuple):
    """The upper ends that bind a run, at the part: temperatures in °C, times in s."""

    peak_c: float
    near_peak_s: float
    ramp_up_max_c_per_s: float
    ramp_down_max_c_per_s: float
    to_peak_max_s: float
    source: str

    def survives(self, peak_c: float, near_peak_s: float) -> bool:
        """Whether a peak and a time within 5 °C of the limit are both allowed."""
        return peak_c <= self.peak_c and near_peak_s <= self.near_peak_s
