"""What a seed stands for: nought is the nominal source, any other draws one like it."""

from dataclasses import Field, dataclass
from random import Random
from typing import Any

from heatsim import mains
from heatsim.params import PlantParams, number_fields
from heatsim.sensor import Sensor

NOMINAL_SEED = 0
DEFAULT_SEED = 1
MEASURED_SPREAD = 0.06  # how far a source is from its model once it has been measured
KIND_SPREAD = 0.20  # how far from the model of its kind, when nothing else is known
FIXED = ("free_exponent", "distance_mm", "dwell_share", "board_sensor_share")
JUNCTION_ERROR_K = 2.0  # MAX31855 data sheet: cold junction within 2 K from -20 to 85 C
NOISE_K = 0.15
WARM_K = 8.0  # an earlier run's heat that the plan's start window lets through
RESTED_S = (10.0, 60.0)  # laying a board down, shutting the door, going to the button


@dataclass(frozen=True)
class Drawn:
    """One draw: the source, its mains, its sensor."""

    params: PlantParams
    mains: mains.Mains
    sensor: Sensor


def variation(params: PlantParams, spread: float, rng: Random) -> PlantParams:
    """A source like this one: each number within `spread` of its own (0.06 = 6 %), in range."""
    kept = {name: getattr(params, name) for name in FIXED}
    drawn = {f.name: _near(params, f, spread, rng) for f in number_fields() if f.name not in FIXED}
    return PlantParams(structure=params.structure, **_no_more_than_all(kept | drawn))


def draw(
    params: PlantParams, seed: int, *, spread: float = MEASURED_SPREAD, kind: str = "max31855"
) -> Drawn:
    """Source, mains and sensor of a seed; nought gives all three as they are meant to be."""
    around = draw_surroundings(seed, kind)
    if seed == NOMINAL_SEED:
        return Drawn(params, *around)
    return Drawn(variation(params, spread, Random(f"source {seed}")), *around)


def draw_surroundings(seed: int, kind: str = "max31855") -> tuple[mains.Mains, Sensor]:
    """Mains and sensor of a seed, for a plant of one's own, which is never drawn."""
    if seed == NOMINAL_SEED:
        return mains.Mains(), Sensor(kind)
    rng = Random(f"surroundings {seed}")
    return mains.drawn(rng), _drawn_sensor(kind, rng)


def _near(params: PlantParams, one: Field[Any], spread: float, rng: Random) -> float:
    low, high = float(one.metadata["low"]), float(one.metadata["high"])
    value: float = getattr(params, one.name) * rng.uniform(1.0 - spread, 1.0 + spread)
    return min(max(value, low), high)


def _no_more_than_all(drawn: dict[str, float]) -> dict[str, float]:
    shares = [name for name in drawn if name.startswith("sensor_") and name.endswith("_share")]
    total = sum(drawn[name] for name in shares)
    return drawn | {name: drawn[name] / max(1.0, total) for name in shares}


def _drawn_sensor(kind: str, rng: Random) -> Sensor:
    error_k = rng.uniform(-JUNCTION_ERROR_K, JUNCTION_ERROR_K)
    return Sensor(kind, noise_k=NOISE_K, junction_error_k=error_k, seed=rng.getrandbits(32))
