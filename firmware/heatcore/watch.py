"""Notices a plan whose memory changed under it: a rolling sum, a few words a tick."""

from array import array

WORDS_A_TICK = 16  # a plan of 4 kB holds under 1,000 words: they come round in sixteen seconds
PRIME = 65_521  # the largest below 2**16
HALF = 15  # a word is folded in two parts, so that the sum stays small
MASK = (1 << HALF) - 1


class Watch:
    """Sums each table in turn; at the end of the round the sum must be the first round's."""

    def __init__(self, tables: "tuple[array[int], ...]") -> None:
        self.tables = tables
        self.table = 0
        self.word = 0
        self.sum = 0
        self.expected = 0
        self.seen = 0
        while not self._step():
            pass
        self.expected = self.seen

    def is_sound(self) -> bool:
        for _ in range(WORDS_A_TICK):
            self._step()
        return self.seen == self.expected

    def _step(self) -> bool:
        """One word further; True at the end of a round."""
        if self.word < len(self.tables[self.table]):
            self._fold(self.tables[self.table][self.word])
            self.word += 1
            return False
        self.word = 0
        self.table += 1
        return self.table == len(self.tables) and self._close()

    def _fold(self, word: int) -> None:
        self.sum = (self.sum * 31 + (word & MASK) + (word >> HALF & MASK)) % PRIME

    def _close(self) -> bool:
        self.seen = self.sum
        self.sum = 0
        self.table = 0
        return True
