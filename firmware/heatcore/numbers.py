"""Products and divisions that stay inside a 31-bit small integer.

All values of the core stay within -2**30 .. 2**30 - 1, so that no port makes a big integer of
them and every port finds the same bits.
"""

BOUND = 1 << 27  # of any result here: seven of them still add up within 2**30
TERM_MAX = (1 << 20) - 1  # of n, where d is smaller
RATIO_BITS = 19  # of d as it is used: keeps every partial product below 2**29
SPLIT = 1 << 10  # n is worked off in two halves of ten bits


class Ratio:
    """a * n / d, exact for d < 2**19, with the remainder kept for the next time.

    `rest` is what the last product left over (0 .. d - 1). Handed back as `carry`, a sum of
    quotients loses nothing: without it each floor would pull an integral down by half a unit.
    """

    def __init__(self) -> None:
        self.rest = 0
        self.saturated = 0  # how often a result met BOUND

    def of(self, a: int, n: int, d: int, carry: int = 0) -> int:
        """Floor of (a * n + carry) / d, for |a| <= 2**29, 0 <= carry < d < 2**30 and
        0 <= n <= the larger of d and TERM_MAX.
        """
        while d >> RATIO_BITS:  # scale first: all three lose the same bits
            n >>= 1
            d >>= 1
            carry >>= 1
        whole = a // d
        part = a % d
        # whole is a floor: of a negative a, part brings back up to one more n
        if n and not -(BOUND // n) - 1 <= whole <= BOUND // n:
            return self._saturate(a, n, d)
        high = part * (n // SPLIT)
        low = (high % d) * SPLIT + part * (n % SPLIT) + carry
        self.rest = low % d
        return self._bounded(whole * n + high // d * SPLIT + low // d)

    def nearest(self, a: int, n: int, d: int) -> int:
        """a * n / d rounded to the nearest; leaves no remainder worth keeping."""
        return self.of(a, n, d, d >> 1)

    def _saturate(self, a: int, n: int, d: int) -> int:
        self.saturated += self.saturated < BOUND
        self.rest = 0
        return BOUND if a > 0 else -BOUND

    def _bounded(self, value: int) -> int:
        return value if -BOUND <= value <= BOUND else self._saturate(value, 1, 1)


def clamp(value: int, low: int, high: int) -> int:
    return low if value < low else min(value, high)
