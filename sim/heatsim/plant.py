"""A heat source in simulated time: what `sim:NAME` runs, and the shape of any `plant:` object."""

from types import ModuleType

from heatsim import physics
from heatsim.coefficients import coefficients
from heatsim.params import PlantParams, faults

STEP_S = 0.25
NODES = (
    "element", "air", "liner", "shell", "board", "small_part", "large_part", "sensor",
    "board_sensor",
)  # fmt: skip


class Plant:
    """One source with a board in it; `sensor` and `board_sensor` are the two beads."""

    def __init__(self, params: PlantParams, engine: ModuleType = physics) -> None:
        """`engine` is `physics`, or its compiled twin from `heatsim.compiled.engine()`.

        Raises ValueError with every fault of `params` in one message.
        """
        if wrong := faults(params):
            raise ValueError("; ".join(wrong))
        self.params = params
        self._engine = engine
        self._coefficients = coefficients(params)
        self.reset(25.0)

    def reset(self, ambient_c: float, start_c: float | None = None) -> None:
        """Everything at room temperature; `start_c` is a source still warm, its board cold."""
        self.ambient_c = float(ambient_c)
        self.state = start(ambient_c, start_c)

    def step(
        self, dt_s: float, duty: float, door: float = 0.0, fan: float = 0.0, mains: float = 1.0
    ) -> dict[str, float]:
        """Run `dt_s` on with these inputs (0..1; `mains` as a ratio of nominal volts).

        Returns the temperature of every node of `NODES` in C. Steps are never over `STEP_S`.
        """
        c = self._coefficients
        # A numpy float here would make every line of a step three times as slow.
        inputs = float(duty), float(door), float(fan), float(mains)
        drive = self._engine.settle(c, *inputs, self.ambient_c)
        pieces = max(1, -int(-dt_s // STEP_S))
        for _ in range(pieces):
            self.state = self._engine.advance(self.state, c, drive, dt_s / pieces)
        return self.temperatures()

    def stop_own_fan(self) -> None:
        """A fan or a jet that runs whatever is said stands still from now on: a fault."""
        self._coefficients = self._coefficients._replace(own_fan=0.0)

    def temperatures(self) -> dict[str, float]:
        """Temperature of every node now, C."""
        return dict(zip(NODES, self.state, strict=True))


def start(ambient_c: float, start_c: float | None = None) -> physics.State:
    """State of a source at rest; warm from an earlier run where `start_c` is given (shell half)."""
    cold = float(ambient_c)
    warm = cold if start_c is None else float(start_c)
    return (warm, warm, warm, (warm + cold) / 2.0, cold, cold, cold, warm, cold)
