"""What a plan is asked for: paste, parts, profile, where the sensor sits, how warm things are."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

from heatsim.physics import State
from heatwright.documents.bench import Fitted, load_bench
from heatwright.documents.board import Board
from heatwright.documents.checks import refuse_lead
from heatwright.documents.library import load_paste, load_profile
from heatwright.documents.own_profile import own_profile
from heatwright.documents.paste import Paste
from heatwright.documents.profile import Profile

# Where the profile is the paste's own, its peak may lie anywhere here in the paste's window.
PEAK_SHARES = (0.6, 0.45, 0.3, 0.1)


class Named(Protocol):
    """What a person asks for, by the names of documents; with no profile it is the paste's own."""

    @property
    def paste(self) -> str: ...
    @property
    def board(self) -> str | None: ...
    @property
    def profile(self) -> str | None: ...
    @property
    def sensor(self) -> str: ...
    @property
    def ambient_c(self) -> float: ...


@dataclass(frozen=True)
class Wanted:
    """What a plan is made of. ``reads`` is the plant's node that the controller's sensor reads.

    ``state`` is the whole source as it stands now, where it is still warm and that is known;
    ``start_c`` a source of one temperature with a cold board in it.
    """

    paste: Paste
    profile: Profile
    peak_may_move: bool = False
    reads: str = "sensor"
    ambient_c: float = 25.0
    start_c: float | None = None
    state: State | None = None
    board: Board | None = None
    fitted: tuple[Fitted, ...] = ()

    @property
    def peaks_c(self) -> list[float]:
        """The peaks to choose from, highest first."""
        if not self.peak_may_move:
            return [self.profile.peak_c]
        low_c, high_c = self.paste.window.peak_c
        return [low_c + share * (high_c - low_c) for share in PEAK_SHARES]

    @property
    def least_peak_c(self) -> float:
        """The board must get here at least."""
        return self.paste.window.peak_c.low if self.peak_may_move else self.profile.peak_c

    @property
    def is_warm(self) -> bool:
        """Whether the plan is for a source that has just been used: it need not rest."""
        return self.state is not None or self.start_c is not None

    @property
    def holds_peak(self) -> bool:
        return [s.hold_s > 0 for s in self.profile.stages if s.name != "ramp_down"][-1]


def load_wanted(named: Named, parts: Sequence[str] = (), start_c: float | None = None) -> Wanted:
    """Read the documents that were named, with these further parts. Raises `BadInput`."""
    bench = load_bench(load_paste(named.paste), named.board, parts)
    refuse_lead(bench)
    return Wanted(
        paste=bench.paste,
        profile=load_profile(named.profile or own_profile(named.paste)),
        peak_may_move=named.profile is None,
        reads=named.sensor,
        ambient_c=named.ambient_c,
        start_c=start_c,
        board=bench.board,
        fitted=bench.fitted,
    )
