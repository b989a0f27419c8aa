"""Whether the door was open: from its switch, and without one from when it was asked for."""

from __future__ import annotations

import numpy as np

from heatcore.inputs import NONE
from heatwright.records.reader import Record
from heatwright.records.units import Floats

# A person hears the cue, turns round and opens (an assumption).
OPENED_AFTER_S = 3.0


def has_switch(record: Record) -> bool:
    """Whether anything told how the door stood."""
    return bool((record.raw["door"] != NONE).any())


def door_open(record: Record) -> Floats:
    """1 while the door was open, at each sample; a person is taken to have followed the cue."""
    if has_switch(record):
        return np.asarray(record.raw["door"] == 1, dtype=np.float64)
    cued = record.raw["door_cue"] == 1
    since_s = record.time_s - OPENED_AFTER_S
    was_cued = cued[np.searchsorted(record.time_s, since_s, side="right") - 1] & (since_s >= 0)
    return np.asarray(cued & was_cued, dtype=np.float64)
