"""Opens what ``--on`` names: a simulated controller on its own rig, or a real one at a port."""

from __future__ import annotations

import math

from heatsim import plugin, seeds
from heatsim.loop import Heats, Rig
from heatsim.mains import Mains
from heatsim.plant import Plant
from heatsim.sensor import Sensor
from heatwright import sentences
from heatwright.documents import load_paste, load_source
from heatwright.documents.bench import load_bench
from heatwright.documents.load import for_board
from heatwright.errors import BadInput, Fault
from heatwright.running.job import Asked
from heatwright.running.named_faults import PLANT, SIM, named_faults
from heatwright.running.simulated import SimulatedTarget, plugin_fault
from heatwright.running.target import Target
from heatwright.running.virtual_target import VirtualTarget


def connect(asked: Asked, speed: float | None) -> Target:
    """The controller to run on. ``speed`` None: as fast as it goes, or the wall's on a real one.

    Raises `BadInput` for a plant that can't be had, `NoController` where no controller answers.
    """
    if asked.is_simulated:
        return SimulatedTarget(rig(asked), None if speed in (None, math.inf) else speed)
    check_speed(speed)
    from heatwright.running.link_client import connect as connect_port

    faults = named_faults(asked.faults, asked.on)
    target = connect_port(asked.on)
    return VirtualTarget(target, asked.on, faults) if faults else target


def check_speed(speed: float | None) -> None:
    """Real heat takes the time it takes: asked where nothing is simulated. Raises `BadInput`."""
    if speed not in (None, 1.0):
        what, cure = sentences.REAL_SPEED, sentences.REAL_SPEED_CURE
        raise BadInput(Fault(what, "--speed", f"{speed:g}", "1", cure))


def rig(asked: Asked) -> Rig:
    """The simulated workshop: the true plant, its mains and sensor, drawn from the seed.

    Only this function sees what is true; controller, verdict and planner never do.
    """
    if asked.on.startswith(PLANT):
        return _plugged_in(asked)
    bench = load_bench(load_paste(asked.paste), asked.board)
    source = load_source(asked.on.removeprefix(SIM))
    params = for_board(source.plant_params(), bench.board, bench.fitted)
    drawn = seeds.draw(params, asked.seed)
    plant = Plant(drawn.params)
    plant.reset(asked.ambient_c, asked.start_c)
    return _rig(asked, plant, drawn.mains, drawn.sensor)


def _rig(asked: Asked, plant: Heats, mains: Mains, sensor: Sensor) -> Rig:
    return Rig(
        plant,
        sensor,
        mains,
        reads=asked.sensor,
        ambient_c=asked.ambient_c,
        was_heated=asked.start_c is not None and asked.start_c > asked.ambient_c,
        faults=named_faults(asked.faults, asked.on),
    )


def _plugged_in(asked: Asked) -> Rig:
    if asked.start_c is not None:
        raise BadInput(Fault(sentences.NO_WARM_PLUGIN, "--start-temp", f"{asked.start_c:g}"))
    try:
        plant = plugin.load(asked.on)
        plant.reset(asked.ambient_c)
    except plugin.PluginError as error:
        raise plugin_fault(error) from error
    mains, sensor = seeds.draw_surroundings(asked.seed)
    return _rig(asked, plant, mains, sensor)
