"""The page's one number: the board where it is known, else the sensor, else its last reading."""

from __future__ import annotations

from math import ceil
from typing import NamedTuple

from heatcore.inputs import NONE, OK
from heatwright import sentences
from heatwright.page.board_now import BoardNow
from heatwright.running.time_left import clock

# Between run and rest the controller's clock begins anew: such a leap is no time that passed.
LEAP_MS = 10_000


class Shown(NamedTuple):
    """The number and its kind in words; not ``is_present``: it is what was read last, or none."""

    number: str
    kind: str
    is_present: bool = True


class LastRead:
    """What the control sensor read last, and how long ago by the controller's own clock."""

    def __init__(self) -> None:
        self.value_c: float | None = None
        self.ago_ms = 0
        self._now_ms = 0

    def see(self, sample: dict[str, int]) -> None:
        passed_ms = sample["now_ms"] - self._now_ms
        self._now_ms = sample["now_ms"]
        value_c = reading_c(sample)
        if value_c is not None:
            self.value_c, self.ago_ms = value_c, 0
        elif 0 < passed_ms < LEAP_MS:
            self.ago_ms += passed_ms

    def shown(self, board: BoardNow, sensor_c: float | None) -> Shown:
        """``sensor_c`` is what the sensor reads now; None where it gives nothing sound."""
        if board.board_c is not None:
            kind = sentences.PAGE_KINDS[board.origin].format(band=ceil(board.band_k))
            return Shown(_whole(board.board_c), kind)
        if sensor_c is not None:
            return Shown(_whole(sensor_c), sentences.PAGE_KINDS["unknown"])
        if self.value_c is None:
            return Shown("–", sentences.PAGE_KINDS["never"], False)
        kind = sentences.PAGE_KINDS["last"].format(ago=clock(self.ago_ms))
        return Shown(_whole(self.value_c), kind, False)


def celsius(value_mc: int) -> float | None:
    return None if value_mc == NONE else round(value_mc / 1000, 1)


def reading_c(sample: dict[str, int]) -> float | None:
    """What the control sensor reads, C; None where that is not sound."""
    return celsius(sample["sensor_mc"]) if sample["sensor_status"] == OK else None


def _whole(value_c: float) -> str:
    return f"{value_c:.0f}"
