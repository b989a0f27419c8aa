"""How a source answers to a step of power at a working temperature: its own linearisation."""

from __future__ import annotations

import copy

import numpy as np

from heatsim.params import PlantParams
from heatsim.plant import Plant
from heatwright.planning.trajectory import FAN
from heatwright.planning.tuning import FirstOrder, fit_step

WARMING_DUTY = 0.7
LONGEST_WARMING_S = 1200.0
STEP_DUTY = 0.2
WATCHED_S = 150.0
SAMPLE_S = 0.5


def warmed(params: PlantParams, ambient_c: float, board_c: float) -> Plant:
    """The source with its board just heated to this temperature, or as near as it gets."""
    plant = Plant(params)
    plant.reset(ambient_c)
    for _ in range(int(LONGEST_WARMING_S)):
        if plant.step(1.0, WARMING_DUTY, fan=FAN)["board"] >= board_c:
            break
    return plant


def step_model(plant: Plant, node: str) -> FirstOrder:
    """Fit what a step of power does to one node, as against leaving the power as it was.

    The plant may be anywhere on its way: the difference of two runs from the same state is the
    step response of its linearisation there. Raises ValueError where the node does not answer.
    """
    steps = int(WATCHED_S / SAMPLE_S)
    left, stepped = copy.copy(plant), copy.copy(plant)
    rise_k = np.array(
        [
            stepped.step(SAMPLE_S, WARMING_DUTY + STEP_DUTY, fan=FAN)[node]
            - left.step(SAMPLE_S, WARMING_DUTY, fan=FAN)[node]
            for _ in range(steps)
        ]
    )
    return fit_step(SAMPLE_S * np.arange(1.0, steps + 1.0), rise_k, STEP_DUTY)
