"""Where the control sensor's bead is and how its wires run: as built, until a fault moves it."""

from collections.abc import Mapping

# Type N wire on an input for type K: from room to soldering heat it gives three quarters of the
# voltage (IEC 60584), and so shows a cold board. Type J would show a hot one, which only stops.
WRONG_TYPE_GAIN = 0.75
# A bead of 0.5 to 1 mm in still air follows in 2 to 7 s.
LOOSE_LAG_S = 4.0
# A foreign plant need not know its air: then half-way from the room to what the bead felt.
UNKNOWN_AIR_SHARE = 0.5

AIR, ROOM = "air", "ambient"


class Bead:
    """`gain`: reversed leads -1, touching leads 0; `place`: where it fell, `AIR` or `ROOM`."""

    def __init__(self, reads: str) -> None:
        """`reads` names the node of the plant that it is fixed to."""
        self.reads = reads
        self.gain = 1.0
        self.place = ""
        self._loose_c: float | None = None

    def felt_c(self, temperatures: Mapping[str, float], junction_c: float, dt_s: float) -> float:
        """What its voltage stands for, C; `junction_c` is where the leads end."""
        # a plant of one's own need not have a bead on the board: then it is the board itself
        fixed_c = temperatures.get(self.reads, temperatures["board"])
        bead_c = self._loose(temperatures, fixed_c, junction_c, dt_s) if self.place else fixed_c
        return junction_c + self.gain * (bead_c - junction_c)

    def _loose(
        self, temperatures: Mapping[str, float], fixed_c: float, room_c: float, dt_s: float
    ) -> float:
        before_c = fixed_c if self._loose_c is None else self._loose_c
        around_c = room_c
        if self.place == AIR:
            guess_c = room_c + UNKNOWN_AIR_SHARE * (fixed_c - room_c)
            around_c = temperatures.get("air", guess_c)
        self._loose_c = before_c + (around_c - before_c) * dt_s / (LOOSE_LAG_S + dt_s)
        return self._loose_c
