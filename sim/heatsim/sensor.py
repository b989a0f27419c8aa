"""From a bead's temperature to what the firmware's driver hands to the core.

The bead's own lag is in the plant. Here: noise, cold junction, the converter's straight line and
its steps, and then the undoing of that line by the core's own table, as a driver does it.
"""

from dataclasses import dataclass
from random import Random

from heatcore import thermocouple
from heatcore.inputs import COLD_JUNCTION, DEAD_BUS, NONE, OK, OUT_OF_RANGE, Inputs

AGE_MAX_MS = 1_000_000
SEQ_MASK = 0xFFFFFF
JUNCTION_LOW_MC = -20_000  # where the converters' data sheets state their junction's accuracy
JUNCTION_HIGH_MC = 85_000
ASSUMED_JUNCTION_MC = 25_000  # for a chip that does not say what its junction is at


@dataclass(frozen=True)
class Converter:
    """One front end: steps and conversion time from its data sheet."""

    step_k: float
    conversion_ms: int
    junction_step_k: float | None = None  # None: the chip keeps its junction to itself
    line: tuple[int, int] | None = None  # a straight line that it takes type K for
    is_thermocouple: bool = True


CONVERTERS = {
    "max31855": Converter(0.25, 100, 0.0625, thermocouple.LINE_41_276),
    "max31856": Converter(0.0078125, 200, 0.015625),
    "max6675": Converter(0.25, 220, None, thermocouple.LINE_41),
    "max31865": Converter(0.03125, 66, is_thermocouple=False),
}


class Sensor:
    """A converter and the driver behind it.

    `status` (a code of `heatcore.inputs`), `stale` and `held` are for faults: a status other than
    OK takes the value away, a stale sensor converts no more and its age grows, a held one gives
    its last word again and again.
    """

    def __init__(
        self,
        kind: str = "max31855",
        *,
        noise_k: float = 0.0,
        junction_error_k: float = 0.0,
        seed: int = 0,
    ) -> None:
        """Raises KeyError for a kind that is not in `CONVERTERS`."""
        self.kind = kind
        self.converter = CONVERTERS[kind]
        self.noise_k = noise_k
        self.junction_error_k = junction_error_k
        self.status = OK
        self.stale = False
        self.held = False
        self._rng = Random(seed)
        self._mc = NONE
        self._junction_mc = NONE
        self._said = DEAD_BUS
        self._seq = 0
        self._fresh_ms = NONE

    def serve(self, now_ms: int, bead_c: float, junction_c: float) -> None:
        """Convert if the chip is ready for it; `junction_c` is where the leads end, at the chip."""
        due = self._fresh_ms == NONE or now_ms - self._fresh_ms >= self.converter.conversion_ms
        if due and not self.stale:
            self._fresh_ms = now_ms
            self._seq = (self._seq + 1) & SEQ_MASK
            if not self.held:
                self._take(*self.convert(bead_c, junction_c))

    def convert(self, bead_c: float, junction_c: float) -> tuple[float, float]:
        """What the chip itself makes of it, in its own steps: bead and cold junction, C."""
        noisy_c = bead_c + (self._rng.gauss(0.0, self.noise_k) if self.noise_k else 0.0)
        believed_c = junction_c + self.junction_error_k
        says_c = self._chip_c(noisy_c, junction_c, believed_c)
        return (
            _in_steps(says_c, self.converter.step_k),
            _in_steps(believed_c, self.converter.junction_step_k or 0.001),
        )

    def fill(self, now_ms: int, inputs: Inputs) -> None:
        """Write the control sensor's five fields."""
        inputs.sensor_mc = self._mc
        inputs.sensor_status = self._said
        inputs.sensor_seq = self._seq
        inputs.sensor_age_ms = self._age_ms(now_ms)
        inputs.cold_junction_mc = self._junction_mc

    def fill_second(self, now_ms: int, inputs: Inputs) -> None:
        """Write the four fields of a thermocouple on the board."""
        inputs.second_mc = self._mc
        inputs.second_status = self._said
        inputs.second_seq = self._seq
        inputs.second_age_ms = self._age_ms(now_ms)

    def _chip_c(self, bead_c: float, junction_c: float, believed_c: float) -> float:
        if not self.converter.is_thermocouple:
            return bead_c
        volts = _emf(bead_c) - _emf(junction_c)
        if self.converter.line:
            numerator, denominator = self.converter.line
            return believed_c + volts * denominator / numerator / 1000.0
        return thermocouple.temperature(volts + _emf(believed_c)) / 1000.0

    def _take(self, chip_c: float, junction_c: float) -> None:
        chip_mc, junction_mc = round(chip_c * 1000), round(junction_c * 1000)
        reports = self.converter.junction_step_k is not None
        self._junction_mc = junction_mc if reports else NONE
        self._mc = self._undone(chip_mc, junction_mc if reports else ASSUMED_JUNCTION_MC)
        self._said = self._verdict(reports, junction_mc)
        if self._said != OK:
            self._mc = NONE

    def _undone(self, chip_mc: int, junction_mc: int) -> int:
        if self.converter.line is None:
            return chip_mc
        return thermocouple.undo_line(chip_mc, junction_mc, self.converter.line)

    def _verdict(self, reports: bool, junction_mc: int) -> int:
        if self.status != OK:
            return self.status
        if reports and not JUNCTION_LOW_MC <= junction_mc <= JUNCTION_HIGH_MC:
            return COLD_JUNCTION
        in_range = thermocouple.LOW_MC <= self._mc <= thermocouple.HIGH_MC
        return OK if in_range else OUT_OF_RANGE

    def _age_ms(self, now_ms: int) -> int:
        if self._fresh_ms == NONE:
            return AGE_MAX_MS
        return min(now_ms - self._fresh_ms, AGE_MAX_MS)


def _emf(temperature_c: float) -> int:
    """0.1 uV; a bead hotter or colder than the table is held at its end."""
    mc = round(temperature_c * 1000)
    return thermocouple.emf(min(max(mc, thermocouple.LOW_MC), thermocouple.HIGH_MC))


def _in_steps(value: float, step: float) -> float:
    return round(value / step) * step
