"""Everything that can break, by name: what `run --fault NAME@SECONDS` and the campaign do.

A fault is struck once and stays. Each is done to a part of the simulated workshop: its outputs,
its sensor, its plant, its mains, or to the controller's own clock and memory.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from heatcore.inputs import OPEN
from heatsim import bead
from heatsim.mains import Sag
from heatsim.plant import Plant

if TYPE_CHECKING:
    from heatsim.loop import SimulatedController

Strike = Callable[["SimulatedController"], None]

# A contact that is pulled at, or a heater's field on the wires.
NOISE_K = 10.0
# So far below the truth that the board would be hotter by as much; still a plausible junction.
JUNCTION_K = -20.0
SAG_DEPTH, SAG_S = 0.25, 60.0
JUMP_MS = 10_000
BIT = 1 << 13  # 8 K in a temperature


@dataclass(frozen=True)
class Fault:
    """A named fault, `at_s` after heating began; below nought it is there before arming."""

    name: str
    at_s: float

    def __str__(self) -> str:
        return f"{self.name}@{self.at_s:g}"


@dataclass(frozen=True)
class Kind:
    """What a fault is; `strike` None: only the virtual controller can do it."""

    what: str
    strike: Strike | None = None
    needs_run: bool = False


def _ssr(conducts: float) -> Strike:
    def strike(struck: SimulatedController) -> None:
        struck.rig.actuator.ssr_stuck = conducts

    return strike


def _half_wave(struck: SimulatedController) -> None:
    struck.rig.actuator.half_wave_stuck = True


def _relay_welded(struck: SimulatedController) -> None:
    struck.rig.actuator.relay_stuck = 1


def _both_welded(struck: SimulatedController) -> None:
    _ssr(1.0)(struck)
    _relay_welded(struck)


def _element_half(struck: SimulatedController) -> None:
    struck.rig.actuator.element_share = 0.5


def _sensor_open(struck: SimulatedController) -> None:
    struck.rig.sensor.status = OPEN


def _sensor_stuck(struck: SimulatedController) -> None:
    struck.rig.sensor.held = True


def _sensor_noisy(struck: SimulatedController) -> None:
    struck.rig.sensor.noise_k = NOISE_K


def _junction(struck: SimulatedController) -> None:
    struck.rig.sensor.junction_error_k = JUNCTION_K


def _wires(gain: float) -> Strike:
    def strike(struck: SimulatedController) -> None:
        struck.bead.gain = gain

    return strike


def _falls(place: str) -> Strike:
    def strike(struck: SimulatedController) -> None:
        struck.bead.place = place

    return strike


def _fan_stops(struck: SimulatedController) -> None:
    struck.fan_works = False
    if isinstance(struck.rig.plant, Plant):
        struck.rig.plant.stop_own_fan()


def _door_opens(struck: SimulatedController) -> None:
    struck.door_forced = 1.0


def _mains_sag(struck: SimulatedController) -> None:
    mains = struck.rig.mains
    sag = Sag(start_s=struck.now_ms / 1000, length_s=SAG_S, depth=SAG_DEPTH)
    struck.rig.mains = replace(mains, sags=(*mains.sags, sag))


def _clock_jumps(struck: SimulatedController) -> None:
    struck.now_ms += JUMP_MS


def _plan_corrupt(struck: SimulatedController) -> None:
    plan: Any = struck.machine.plan
    words = plan.y_mc if len(plan.y_mc) else plan.u
    words[len(words) // 2] ^= BIT


KINDS = {
    "relay-shorted": Kind("the solid-state relay conducts all the time", _ssr(1.0)),
    "relay-open": Kind("the solid-state relay never conducts", _ssr(0.0)),
    "relay-half": Kind("the solid-state relay always conducts one half-wave", _half_wave),
    "safety-relay-welded": Kind("the safety relay's contact never opens", _relay_welded),
    "both-welded": Kind("both relays conduct all the time", _both_welded),
    "element-half": Kind("half of the heating elements give no heat", _element_half),
    "sensor-open": Kind("the thermocouple's wire is broken", _sensor_open),
    "sensor-shorted": Kind("its leads touch: it reads the cold junction", _wires(0.0)),
    "sensor-reversed": Kind("its leads are swapped: it falls when heated", _wires(-1.0)),
    "sensor-wrong-type": Kind(
        "type N wire read as type K: it shows too little", _wires(bead.WRONG_TYPE_GAIN)
    ),
    "sensor-detached-air": Kind("the bead came off and hangs in the air inside", _falls(bead.AIR)),
    "sensor-detached-ambient": Kind("the bead came off and lies in the room", _falls(bead.ROOM)),
    "sensor-stuck": Kind("the converter repeats its last word for ever", _sensor_stuck),
    "sensor-noisy": Kind(f"noise of {NOISE_K:g} K on the reading", _sensor_noisy),
    "cold-junction-wrong": Kind(f"the cold junction reads {JUNCTION_K:+g} K", _junction),
    "fan-stopped": Kind("the fan stands still", _fan_stops),
    "door-open": Kind("the door is opened and stays open", _door_opens),
    "mains-sag": Kind(f"the mains lose {SAG_DEPTH:.0%} for {SAG_S:g} s", _mains_sag),
    "clock-jump": Kind(f"the controller's clock jumps {JUMP_MS // 1000} s on", _clock_jumps, True),
    "plan-corrupt": Kind("one bit of the plan in memory flips", _plan_corrupt, True),
    "controller-hung": Kind("the controller's program stands still", needs_run=True),
    "frame-corrupt": Kind("garbage on the link", needs_run=True),
    "power-loss": Kind("the controller's supply is cut, and comes back", needs_run=True),
}
IN_LOOP = tuple(name for name, kind in KINDS.items() if kind.strike)
ON_CHIP = tuple(name for name, kind in KINDS.items() if not kind.strike)


def strike(struck: SimulatedController, name: str) -> None:
    """Break it now. Raises KeyError for an unknown name, ValueError for a fault of the chip's."""
    done = KINDS[name].strike
    if done is None:
        raise ValueError(f"{name} needs the virtual controller")
    done(struck)
