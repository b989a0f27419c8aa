"""Where the board ought to go: how fast at each temperature, and the peak to aim for."""

from __future__ import annotations

from dataclasses import dataclass

from heatwright.documents import Paste

# Well inside the window, and no faster than a hand follows.
BRISK_C_PER_S = 1.5
# Where in its window the soak ought to lie: its end is nearer than its beginning, to a slow hand.
SOAK_SHARE = 0.42
# A board that has been molten for so much of the longest time goes, however hot it is.
MOLTEN_SHARE = 0.75
# No hotter than need be: over the least peak by as much as a coached peak may be off.
OVER_LEAST_K = 8.0
# Share of the time above liquidus that is spent going up: coming down off the heat is quicker.
RISING_SHARE = 0.6


@dataclass(frozen=True)
class Course:
    """Temperatures between the stretches, and how fast or how long each ought to be."""

    soak_low_c: float
    soak_high_c: float
    above_c: float
    aim_c: float
    too_hot_c: float
    melts_c: float
    molten_max_s: float
    preheat_c_per_s: float
    soak_s: float
    ramp_c_per_s: float
    rising_s: float
    cools_c_per_s: float

    def stage(self, board_c: float, is_lifted: bool) -> int:
        """The stage's number, in the order of `heatcore.codes.STAGES`."""
        if is_lifted:
            return 4
        edges = (self.soak_low_c, self.soak_high_c, self.above_c)
        return sum(board_c >= edge for edge in edges)


def course_of(paste: Paste) -> Course:
    """The middle of each of the paste's windows, the peak nearer to its least."""
    window = paste.window
    low_c, high_c = window.soak_c
    slow, fast = window.up_c_per_s
    aim_c = min(sum(window.peak_c) / 2.0, window.peak_c.low + OVER_LEAST_K)
    above_s = sum(window.above_liquidus_s) / 2.0
    short_s, long_s = window.soak_s
    soak_s = short_s + SOAK_SHARE * (long_s - short_s)
    rising_s = RISING_SHARE * above_s
    ramp = (aim_c - paste.above_c) / rising_s
    return Course(
        soak_low_c=low_c,
        soak_high_c=high_c,
        above_c=paste.above_c,
        aim_c=aim_c,
        too_hot_c=window.peak_c.high,
        melts_c=(paste.solidus_c + paste.liquidus_c) / 2.0,
        molten_max_s=MOLTEN_SHARE * window.above_liquidus_s.high,
        preheat_c_per_s=min(max(BRISK_C_PER_S, slow), fast),
        soak_s=soak_s,
        ramp_c_per_s=min(max(ramp, slow), fast),
        rising_s=rising_s,
        cools_c_per_s=window.down_c_per_s.low,
    )
