"""A plan of nothing but half power, made from a nominal source."""

from core.plans import document
from heatcore import plan as core
from heatsim.plant import Plant

DUTY = 5_000
LASTS_S = 150


def half_power(source, reads):
    """Half power for 150 s on the nominal source, as a plan without `deviation`."""
    plant = Plant(source.plant_params())
    rows = []
    for tick in range(LASTS_S * 4 + 1):
        if tick % 20 == 0:
            nodes = (plant.temperatures()[name] for name in (reads, "board"))
            rows.append([tick * 250, *(round(value * 1000) for value in nodes)])
        plant.step(0.25, DUTY / 10_000, fan=1.0)
    times, sensor, board = (list(column) for column in zip(*rows, strict=True))
    return core.write(
        document(
            waits=[], t_ms=times, y_mc=sensor, b_mc=board, u=[DUTY] * len(times), door_cue_ms=-1,
            gains=[[0, 10_000, 60, 0, 16, 0]], stages=[[0, "preheat"], [100_000, "ramp_up"]],
        )
    )  # fmt: skip
