# Converters that take type K for a straight line: undone with the core's own table. They have no
# bit that proves a value to be new, so a word that never moves is judged here.

from heatcore.inputs import DEAD_BUS, FROZEN, NONE, OK, OUT_OF_RANGE
from heatcore.thermocouple import undo_line

from .bus import Chip
from .sensor import Sensor

# A hot bead's word moves within two minutes, if only by its last bit: bead and junction both
# drift by more. Even a held oven does; a cold bead in a cold room may sit still and is not judged.
FROZEN_MS = 120000
FROZEN_ABOVE_MC = 60000

# Used where the converter does not report its junction: 10 K of error here are 0.1 K there.
ASSUMED_JUNCTION_MC = 25000


class LineSensor(Sensor):
    # `decode`: what a word says, as functions of it: status, bead, junction, and all that it said
    # folded into one small integer, to see whether anything moves at all.
    def __init__(self, chip: Chip, pace_ms: int, line: tuple[int, int], size: int, decode) -> None:
        super().__init__(pace_ms)
        self._chip = chip
        self._word = bytearray(size)
        self._line = line
        self._status, self._bead_mc, self._junction_mc, self._folded = decode
        self._last_word = NONE
        self._moved_ms = 0

    def _convert(self, now_ms: int) -> None:
        word = self._word
        self._chip.read(word)
        found = self._status(word)
        if found == DEAD_BUS:
            self._silent(DEAD_BUS)
        elif found != OK:
            self._refuse(now_ms, found, self._junction_mc(word))
        else:
            self._line_reading(
                now_ms, self._bead_mc(word), self._junction_mc(word), self._folded(word)
            )

    def _line_reading(self, now_ms: int, line_mc: int, junction_mc: int, word: int) -> None:
        cold_mc = ASSUMED_JUNCTION_MC if junction_mc == NONE else junction_mc
        mc = undo_line(line_mc, cold_mc, self._line)
        if mc == NONE:
            self._refuse(now_ms, OUT_OF_RANGE, junction_mc)
        elif self._stands_still(now_ms, mc, word):
            self._silent(FROZEN)
        else:
            self._accept(now_ms, mc, junction_mc)

    def _stands_still(self, now_ms: int, mc: int, word: int) -> bool:
        if word != self._last_word or mc < FROZEN_ABOVE_MC:
            self._last_word = word
            self._moved_ms = now_ms
        return now_ms - self._moved_ms >= FROZEN_MS
