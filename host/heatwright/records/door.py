"""Whether the door was open: from its switch, and without one from when it was asked for."""

from __future__ import annotations

import numpy as np

from heatcore.codes import EVENT_DOOR
from heatcore.inputs import NONE
from heatwright.records.reader import Record
from heatwright.records.units import Floats

# A person hears the cue, turns round and opens (an assumption).
OPENED_AFTER_S = 3.0


def has_switch(record: Record) -> bool:
    """Whether anything told how the door stood."""
    told = any(event.code == EVENT_DOOR for event in record.events)
    return told or bool((record.raw["door"] != NONE).any())


def door_open(record: Record) -> Floats:
    """1 while the door was open, at each sample; a person is taken to have followed the cue."""
    if has_switch(record):
        switched = np.asarray(record.raw["door"] == 1, dtype=np.float64)
        return np.asarray(np.maximum(switched, _by_events(record)), dtype=np.float64)
    cued = record.raw["door_cue"] == 1
    since_s = record.time_s - OPENED_AFTER_S
    was_cued = cued[np.searchsorted(record.time_s, since_s, side="right") - 1] & (since_s >= 0)
    return np.asarray(cued & was_cued, dtype=np.float64)


def _by_events(record: Record) -> Floats:
    """As its events tell: some records have the door's moves and no switch at each sample."""
    door = np.zeros_like(record.time_s)
    for event in record.events:
        if event.code == EVENT_DOOR:
            door[record.time_s >= event.time_s] = float(event.seen == 1)
    return door
