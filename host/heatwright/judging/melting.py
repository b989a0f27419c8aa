"""A melt mark as a fixed point of the board's temperature, with how sure it is."""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt
from typing import Literal

from heatsim.plant import NODES

Seen = Literal["first_melt", "last_melt", "not_melted"]

# Where on the board the paste melts first is not where the model's board is: a small board in a
# small oven differs by a kelvin or so from place to place (an assumption).
SPOT_SD_K = 1.0
# From the grains running together to the key pressed (an assumption: look, decide, press).
REACTION_S, REACTION_SD_S = 1.0, 0.7


@dataclass(frozen=True)
class Melt:
    """What was seen at ``time_s``: the paste's melting range in C; ``alloy`` for sentences.

    ``nth``: it is which melt it is of all that the source is taught, counted from 1.
    """

    time_s: float
    seen: Seen
    solidus_c: float
    liquidus_c: float
    alloy: str = ""
    forced: bool = False
    nth: int = 1

    @property
    def node(self) -> int:
        """Whose temperature it tells: the last joint to melt is that of the largest part."""
        return NODES.index("large_part" if self.seen == "last_melt" else "board")

    @property
    def melted(self) -> bool:
        return self.seen != "not_melted"

    @property
    def at_s(self) -> float:
        """When it happened: a press comes after what was seen."""
        return max(self.time_s - REACTION_S, 0.0) if self.melted else self.time_s

    @property
    def mean_c(self) -> float:
        """First grains run together in the middle of the range; nothing has at its upper end."""
        return (self.solidus_c + self.liquidus_c) / 2 if self.melted else self.liquidus_c

    def sd_k(self, rate_k_s: float) -> float:
        """The range, the spot and the reaction time together, on a board that rises so fast.

        Where in its range a paste melts is the same in each run, and no number of marks tells it:
        n marks together are off by ``shared + own / n``. A later one brings only what is missing
        from that of those before it.
        """
        shared = (self.liquidus_c - self.solidus_c) ** 2 / 12.0
        own = SPOT_SD_K**2 + (REACTION_SD_S * rate_k_s) ** 2
        n, before = self.nth, self.nth - 1
        if not before:
            return sqrt(shared + own)
        return sqrt((shared + own / n) * (shared + own / before) * n * before / own)
