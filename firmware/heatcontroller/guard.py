# Calls the cut-off by a clock of its own: a hard timer's interrupt where the port has one, which
# goes on when the main loop hangs; else from the main loop. Whoever feeds the watchdog looks at
# `seq`: where it stands still, nobody has called.

PERIOD_MS = 100
SEQ_MASK = 0xFFFF


class Guard:
    # Nothing here allocates: an interrupt has no heap.

    def __init__(self, clock, cutoff, off) -> None:
        self.seq = 0
        self._clock = clock
        self._cutoff = cutoff
        self._off = off

    def check(self, timer=None) -> None:
        self.seq = (self.seq + 1) & SEQ_MASK
        if not self._cutoff.allows(self._clock.peek()):
            self._off()
