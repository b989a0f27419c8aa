"""A profile as it was asked for, on its own clock: what this source makes of it at its best."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from heatwright.documents.profile import Profile
from heatwright.planning import warm
from heatwright.planning.model import Model
from heatwright.planning.trajectory import Heating, Trajectory, flown, heat
from heatwright.planning.tuning import Floats
from heatwright.planning.wanted import Wanted

KNOT_S, HORIZON_S = 5.0, 25.0
# No board gets here: only the profile's own clock ends the heating.
NEVER_C = 1000.0


@dataclass
class Clock:
    """A target that waits for nobody."""

    profile: Profile
    time_s: float = 0.0
    starts: list[tuple[float, str]] = field(default_factory=list)
    done: bool = False

    def advance(self, time_s: float, reach_c: float) -> float:
        """Move on, whatever can be reached; returns the new target, C."""
        self.time_s += time_s
        return float(np.interp(self.time_s, *line(self.profile)))


def line(profile: Profile) -> tuple[Floats, Floats]:
    """The profile's own corners: times in s, board in C."""
    times, temperatures = np.array(profile.knots).T
    return times, temperatures


def on_its_clock(model: Model, wanted: Wanted) -> Trajectory:
    """The best that full power can do of the profile, heat off and door open when it says so."""
    start = warm.started(model, wanted)
    how = Heating(NEVER_C, 1.0, HORIZON_S, KNOT_S)
    end_s = _heats_until_s(wanted.profile)
    moments = [m for m in heat(model, start, Clock(wanted.profile), how) if m.time_s <= end_s]
    time_s = np.array([m.time_s for m in moments])
    duty = np.array([m.duty for m in moments])
    if time_s[-1] < end_s:
        time_s, duty = np.append(time_s, end_s), np.append(duty, duty[-1])
    return flown(model, start, time_s, duty, True, wanted.paste.above_c, [])


def _heats_until_s(profile: Profile) -> float:
    ends = [at_s for at_s, name in profile.starts if name == "ramp_down"]
    return float(ends[0] if ends else profile.duration_s)
