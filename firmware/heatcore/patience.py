"""How long a fault is borne: one bad sample ruins no board, a stuck fault always trips."""

FORGIVEN = 4  # a fault is forgiven in four times the time that it lasted: a loose contact trips
BORNE_MAX = 1 << 20  # stops counting


class Patience:
    """Bears a fault for limit_ms, all at once or in pieces."""

    def __init__(self, limit_ms: int) -> None:
        self._limit = limit_ms * FORGIVEN
        self._borne = 0

    def holds(self, sound: bool, elapsed_ms: int) -> bool:
        if sound:
            self._borne = max(0, self._borne - elapsed_ms)
        else:
            self._borne = min(self._borne + elapsed_ms * FORGIVEN, BORNE_MAX)
        return self._borne <= self._limit

    def forgive(self) -> None:
        self._borne = 0
