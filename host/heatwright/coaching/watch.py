"""Is this still the board's temperature? What is wrong with the readings, in words."""

from __future__ import annotations

from heatwright import sentences

# Typed readings come every 20 to 30 s; loggers write at least this often.
SILENT_S = 8.0
# No board rises or falls so fast by itself; a bead in the jet, or fallen off, does.
JUMP_C_PER_S = 10.0
JUMP_LEAST_K = 8.0
# After a jump the new readings are believed once they have agreed for so long.
SETTLE_S = 6.0


class Watch:
    """Readings as they come; says what is wrong with them for as long as it is."""

    def __init__(self, jumped: str, silent_s: float = SILENT_S) -> None:
        """``jumped`` is what to say of a jump, which a source of its kind makes likely."""
        self.silent_s = silent_s
        self._jumped = jumped
        self._last: tuple[float, float] | None = None
        self._jump_s: float | None = None
        self._heard_s: float | None = None
        self._is_lost = False

    def trouble(self, now_s: float, reading_c: float | None, is_unplugged: bool) -> str | None:
        """The sentence to say now; None where the reading can be believed."""
        if self._heard_s is None:
            self._heard_s = now_s
        # lost until it reads again: a row without a number is followed by moments without a row
        self._is_lost = is_unplugged or (self._is_lost and reading_c is None)
        if self._is_lost:
            return sentences.COACH_UNPLUGGED
        if reading_c is None:
            silent = now_s - self._heard_s > self.silent_s
            return sentences.COACH_STOPPED_GROWING if silent else None
        self._heard_s = now_s
        return self._jumped if self._has_jumped(now_s, reading_c) else None

    def _has_jumped(self, now_s: float, reading_c: float) -> bool:
        if self._last is not None:
            since_s, by_k = now_s - self._last[0], abs(reading_c - self._last[1])
            if by_k > max(JUMP_C_PER_S * since_s, JUMP_LEAST_K):
                self._jump_s = now_s
        self._last = (now_s, reading_c)
        return self._jump_s is not None and now_s - self._jump_s < SETTLE_S
