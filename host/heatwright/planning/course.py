"""The line of a profile as a moving target, which waits where the source can't follow."""

from __future__ import annotations

from heatwright.documents.profile import Profile, Stage


class Course:
    """Walks the heating stages of a profile, no faster than it is told can be reached.

    Attributes: ``target_c`` (board), ``time_s`` since the start, ``starts`` [(time_s, stage)].
    """

    def __init__(self, profile: Profile, start_c: float, last_c: float) -> None:
        """``last_c`` stands in for the temperature that the last heating stage goes to."""
        self.target_c = start_c
        self.time_s = 0.0
        self.starts: list[tuple[float, str]] = []
        self._last_c = last_c
        self._waiting = [stage for stage in profile.stages if stage.name != "ramp_down"]
        self._enter_next()

    @property
    def done(self) -> bool:
        """Whether the last stage was reached and held for as long as it was asked to."""
        return self._stage is None

    def _enter_next(self) -> None:
        self._stage = self._waiting.pop(0) if self._waiting else None
        self._held_s = 0.0
        if self._stage:
            self._rate_c_per_s = _rate_c_per_s(self._stage, self.target_c)
            self.starts.append((self.time_s, self._stage.name))

    def advance(self, time_s: float, reach_c: float) -> float:
        """Move on by ``time_s``, the target not above ``reach_c``; returns the new target."""
        self.time_s += time_s
        if self._stage is None:
            return self.target_c
        goal_c = min(self._stage.to_c, self._last_c) if self._waiting else self._last_c
        wish_c = min(self.target_c + self._rate_c_per_s * time_s, goal_c)
        self.target_c = max(self.target_c, min(wish_c, reach_c))
        if self.target_c >= goal_c:
            self._held_s += time_s
            if self._held_s > self._stage.hold_s:
                self._enter_next()
        return self.target_c


def _rate_c_per_s(stage: Stage, from_c: float) -> float:
    seconds = stage.ramp_s(from_c)
    return max(stage.to_c - from_c, 0.0) / seconds if seconds > 0 else float("inf")
