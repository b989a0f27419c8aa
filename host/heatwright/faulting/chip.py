"""The campaign's faults that need a chip: the whole firmware, in lockstep with a simulated source.

Far slower than the fast loop (it starts a MicroPython a case), so with one draw only.
"""

from __future__ import annotations

import json
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import asdict
from importlib.util import find_spec
from pathlib import Path
from typing import Any

from heatsim import seeds
from heatsim.plant import Plant
from heatsim.trials import Case, Moment, Setting
from heatsim.virtual import mishaps
from heatsim.virtual.chip import ChipSetup
from heatsim.virtual.lockstep import LockstepController, LockstepPort
from heatsim.virtual.pins import shipped_pins
from heatsim.virtual.workshop import Workshop
from heatwright.commissioning import image
from heatwright.running.link_client import LinkClient, SerialTarget

# On pins that the shipped wiring leaves free: a lamp at the door, that the cue is seen, and a fan.
PINS = {"DOOR_PIN": 10, "FAN_PIN": 9}
STARTS_WITHIN_S = 30.0
WATCHED_S = 40.0
LEASE_S = 1.0


def can_run() -> bool:
    """Whether MicroPython for this computer is installed: it comes with the tools to develop."""
    return find_spec("micropython_unix") is not None


def trials(setting: Setting, seed: int) -> list[dict[str, Any]]:
    """Every fault of the chip at every moment of one draw, as `heatsim.trials.Case`."""
    with tempfile.TemporaryDirectory(prefix="heatwright-") as folder:
        made = Path(folder) / "image"
        _write_image(made)
        return [
            asdict(_trial(setting, seed, name, moment, made, Path(folder) / f"{name}-{index}"))
            for name in mishaps.MISHAPS
            for index, moment in enumerate(setting.moments)
        ]


def _write_image(folder: Path) -> None:
    files = image.build(PINS, "rp2")
    files[image.CONFIG] = json.dumps({"outputs": "ssr"}).encode()
    for path, data in files.items():
        at = folder / path
        at.parent.mkdir(parents=True, exist_ok=True)
        at.write_bytes(data)


def _trial(setting: Setting, seed: int, name: str, moment: Moment, made: Path, root: Path) -> Case:
    shutil.copytree(made, root)
    drawn = seeds.draw(setting.params, seed, spread=setting.spread)
    workshop = Workshop(
        Plant(drawn.params),
        {**shipped_pins(), **PINS},
        sensor=drawn.sensor,
        mains=drawn.mains,
        reads=setting.sensor,
    )
    with _running(LockstepController(ChipSetup(root), workshop), setting.plan) as (chip, target):
        _run_to(target, moment.at_s)
        return _struck(chip, target, setting, seed, name, moment)


@contextmanager
def _running(
    chip: LockstepController, plan: bytes
) -> Iterator[tuple[LockstepController, SerialTarget]]:
    with chip:
        client = LinkClient(LockstepPort(chip), "virtual")
        client.await_hello(STARTS_WITHIN_S)
        target = SerialTarget(client)
        target.put(plan)
        target.ask("arm", json.loads(plan[: plan.rindex(b"\n")])["id"])
        target.ask("start")
        yield chip, target


def _run_to(target: SerialTarget, at_s: float) -> None:
    for one in target.lines():
        if one[0] == "s" and one[2] >= at_s * 1000:
            return


def _struck(
    chip: LockstepController,
    target: SerialTarget,
    setting: Setting,
    seed: int,
    name: str,
    moment: Moment,
) -> Case:
    watch = _Watch(chip.workshop)
    mishaps.strike(chip, name, seed)
    watch.look()
    _watch(chip, target, watch)
    state = target.hello()["state"]
    detected = state == "tripped"
    return Case(
        fault=name,
        moment=moment.name,
        source=setting.source,
        sensor=setting.sensor,
        seed=seed,
        detected=detected,
        seconds_to_off=watch.heated_s if detected else None,
        max_board_c=round(watch.highest_c, 1),
        at_s=moment.at_s,
        trip=state if detected else "",
    )


def _watch(chip: LockstepController, target: SerialTarget, watch: _Watch) -> None:
    """The host goes on renewing its lease, as in any run; after a reset it has lost its run."""
    end_s = chip.workshop.time_s + WATCHED_S
    while chip.workshop.time_s < end_s:
        chip.run_until(watch.look, LEASE_S)
        if not chip.resets:
            target.ask("lease")


class _Watch:
    """Sees when the heater was last on, and how hot the board got."""

    def __init__(self, workshop: Workshop) -> None:
        self._workshop = workshop
        self._from_s = workshop.time_s
        self._heat_s = workshop.heat_s
        self.heated_s = 0.0
        self.highest_c = workshop.temperatures["board"]

    def look(self) -> bool:
        """Never done: for `run_until`."""
        workshop = self._workshop
        self.highest_c = max(self.highest_c, workshop.temperatures["board"])
        if workshop.heat_s > self._heat_s:
            self._heat_s = workshop.heat_s
            self.heated_s = workshop.time_s - self._from_s
        return False
