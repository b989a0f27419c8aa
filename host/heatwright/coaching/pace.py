"""How fast from here on, so that soak and melt still last as long as they ought to."""

from __future__ import annotations

from heatwright.coaching.course import Course

# What was lost or gained is made up for by this much of the usual rate and no more: a rate that
# a hand can still follow.
SLOWEST, FASTEST = 0.6, 1.5
STEP_S = 1.0


class Pace:
    """Keeps when the board came to the soak and to the melt; `after` says where it ought to be."""

    def __init__(self, course: Course) -> None:
        self._course = course
        self._soak_from_s: float | None = None
        self._molten_from_s: float | None = None

    def note(self, now_s: float, board_c: float) -> None:
        """The board is here now; calls come in order of time."""
        if self._soak_from_s is None and board_c >= self._course.soak_low_c:
            self._soak_from_s = now_s
        if self._molten_from_s is None and board_c >= self._course.above_c:
            self._molten_from_s = now_s

    def melts(self, now_s: float) -> None:
        """It was seen to melt now, whatever was thought before."""
        self._molten_from_s = now_s

    def not_melted(self) -> None:
        """That was a mistake: what is noted from here on counts."""
        self._molten_from_s = None

    def molten_s(self, now_s: float) -> float:
        """For how long it has been above liquidus."""
        return 0.0 if self._molten_from_s is None else now_s - self._molten_from_s

    def after(self, now_s: float, board_c: float, time_s: float) -> float:
        """Where a board that is here now ought to be after so many seconds."""
        ahead = Pace(self._course)
        ahead._soak_from_s, ahead._molten_from_s = self._soak_from_s, self._molten_from_s
        for step in range(round(time_s / STEP_S)):
            at_s = now_s + step * STEP_S
            ahead.note(at_s, board_c)
            board_c += STEP_S * ahead._rate_c_per_s(at_s, board_c)
        return board_c

    def _rate_c_per_s(self, at_s: float, board_c: float) -> float:
        course = self._course
        if self._soak_from_s is None:
            return course.preheat_c_per_s
        if board_c < course.soak_high_c:
            left_s = self._soak_from_s + course.soak_s - at_s
            usual = (course.soak_high_c - course.soak_low_c) / course.soak_s
            return _to_come(course.soak_high_c - board_c, left_s, usual)
        if self._molten_from_s is None:
            return course.ramp_c_per_s
        left_s = self._molten_from_s + course.rising_s - at_s
        return _to_come(course.aim_c - board_c, left_s, course.ramp_c_per_s)


def _to_come(by_k: float, within_s: float, usual: float) -> float:
    wanted = by_k / max(within_s, STEP_S)
    return min(max(wanted, SLOWEST * usual), FASTEST * usual)
