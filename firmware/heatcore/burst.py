"""Duty as whole mains cycles: error diffusion, so that each slot follows from the sum so far."""

FULL_DUTY = 10_000


class Burst:
    def __init__(self) -> None:
        self.owed = 0

    def slot(self, duty: int) -> int:
        """1 where the coming mains cycle is to be on. Off means off: nothing stays owed."""
        if not 0 < duty <= FULL_DUTY:
            self.owed = 0
            return 0
        self.owed += duty
        if self.owed < FULL_DUTY:
            return 0
        self.owed -= FULL_DUTY
        return 1
