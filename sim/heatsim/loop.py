"""Core, state machine and plant, closed in simulated time: what `sim:` and `plant:` run on.

The controller's own files decide; this file only turns the plant's temperatures into inputs and
the outputs into heat, one tick after the other. No clock is read: the same rig, plan and verbs
give the same lines.
"""

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any, Protocol

from heatcontroller.app import CUTOFF_SPEAKS_TICKS
from heatcontroller.config import Config
from heatcontroller.states import ARMED, COOLING, RUNNING, TRIPPED, StateMachine
from heatcore.burst import FULL_DUTY
from heatcore.codes import NOTE_WAIT_PRESS
from heatcore.command import FIELDS as COMMAND_FIELDS
from heatcore.command import Command
from heatcore.cutoff import Cutoff
from heatcore.inputs import FIELDS as INPUT_FIELDS
from heatcore.inputs import NONE, Inputs
from heatcore.limits import TICK_MS
from heatcore.plan import read as read_plan
from heatsim import faults
from heatsim.actuator import Actuator
from heatsim.bead import Bead
from heatsim.faults import Fault
from heatsim.mains import Mains
from heatsim.sensor import Sensor

Line = list[Any]
Refusal = tuple[str, str]
TICK_S = TICK_MS / 1000
# What is fitted in this simulation: an SSR, a safety relay, a door switch.
FITTED = {"outputs": "ssr"}
# After a trip the record goes on until the heater is proven off, at most this long.
TRIPPED_MAX_MS = 180_000
# A door needs a moment to swing open.
DOOR_SWING_S = 1.0


class Heats(Protocol):
    """What a plant is: `heatsim.plant.Plant`, or anything that `heatsim.plugin` loaded."""

    def reset(self, ambient_c: float) -> None: ...

    def step(
        self, dt_s: float, duty: float, door: float = 0.0, fan: float = 0.0, mains: float = 1.0
    ) -> dict[str, float]: ...


@dataclass
class Rig:
    """One simulated workshop, ready to run: the plant is reset, nothing has happened yet.

    `reads` is the temperature at which the control sensor sits (`sensor` or `board_sensor`).
    `door_after_s` is how long a person takes to open the door at the cue; None: nobody does.
    `attends`: somebody answers when the controller asks whether anybody is there.
    `was_heated`: the source is still warm from a run that its controller knows of.
    `faults` are struck in their time.
    """

    plant: Heats
    sensor: Sensor
    mains: Mains = field(default_factory=Mains)
    actuator: Actuator = field(default_factory=Actuator)
    reads: str = "sensor"
    ambient_c: float = 25.0
    door_after_s: float | None = 3.0
    attends: bool = True
    was_heated: bool = False
    faults: tuple[Fault, ...] = ()


class SimulatedController:
    """The verbs of the link, a plan's bytes, and time that moves one tick a call.

    Verbs give None when done or (code, text) when refused, as the state machine does. `emit` gets
    every line of the record ("s", "e", "t") as its list, from arming on.

    `heat` is the share of the last tick in which the element was on, `temperatures` are the
    plant's. `bead`, `fan_works` and `door_forced` (None: the person's) are for faults.
    """

    def __init__(self, rig: Rig, emit: Callable[[Line], None]) -> None:
        self.rig = rig
        self.now_ms = 0
        self.heat = 0.0
        self.temperatures: dict[str, float] = {}
        self.bead = Bead(rig.reads)
        self.fan_works = True
        self.door_forced: float | None = None
        self._to_strike = list(rig.faults)
        self._emit = emit
        self._seq = 0
        self._inputs = Inputs()
        self._inputs.door = 0
        self._outputs = _Outputs(rig.actuator)
        self._store = _Store(rig.was_heated)
        self._cue_ms = NONE
        self._tripped_ms = NONE
        self.machine = StateMachine(Config(FITTED), self._outputs, self._store, self._say)
        # the first reading, without which nothing can be armed
        self.tick()

    def put(self, data: bytes) -> str:
        """Keep a plan's bytes; returns its id. Raises `heatcore.plan.PlanError`."""
        plan = read_plan(data)
        self._store.plans[plan.id] = data
        return plan.id

    def arm(self, plan_id: str) -> Refusal | None:
        self._cue_ms = self._tripped_ms = NONE
        return self.machine.arm(self.now_ms, plan_id)

    def start(self) -> Refusal | None:
        return self.machine.start(self.now_ms)

    def stop(self) -> Refusal | None:
        return self.machine.stop(self.now_ms)

    def mark(self, melted: bool = True) -> Refusal | None:
        return self.machine.mark(self.now_ms, melted)

    def unmark(self) -> Refusal | None:
        return self.machine.unmark(self.now_ms)

    def clear(self) -> Refusal | None:
        return self.machine.clear(self.now_ms)

    @property
    def is_over(self) -> bool:
        """Whether the run has ended: at rest, or tripped and proven off (or watched enough)."""
        if self.machine.state == TRIPPED:
            watched_ms = self.now_ms - self._tripped_ms
            return self.machine.proven_off or watched_ms > TRIPPED_MAX_MS
        return self.machine.state not in (ARMED, RUNNING, COOLING)

    def tick(self) -> None:
        """One tick: the plant first, on what was commanded last, then the controller."""
        self._strike()
        self.now_ms += TICK_MS
        self.temperatures = self._heat()
        self._sense(self.temperatures)
        machine = self.machine
        machine.lease(self.now_ms)
        self._attend()
        self._outputs.judge(self.now_ms, self._inputs, machine)
        machine.step(self.now_ms, self._inputs)
        self._outputs.follow(self.now_ms, self._inputs, machine)
        self._note_trip()
        if machine.state in (RUNNING, COOLING, TRIPPED):
            self._tell(self.temperatures)

    def _attend(self) -> None:
        """A person at the source says so when asked; the press itself is told anew each tick."""
        self._inputs.press = NONE
        if self.rig.attends and self.machine.command.note == NOTE_WAIT_PRESS:
            self.machine.start(self.now_ms)

    def _strike(self) -> None:
        for fault in [fault for fault in self._to_strike if self._is_due(fault)]:
            self._to_strike.remove(fault)
            faults.strike(self, fault.name)

    def _is_due(self, fault: Fault) -> bool:
        if fault.at_s < 0:
            return True
        heats = self.machine.state in (RUNNING, COOLING, TRIPPED)
        return heats and self.machine.line_ms(self.now_ms) >= fault.at_s * 1000

    def _heat(self) -> dict[str, float]:
        now_s = self.now_ms / 1000
        self.heat = self._outputs.share(self.now_ms)
        fan = float(self.machine.command.fan * self.fan_works)
        mains = self.rig.mains.ratio(now_s - TICK_S)
        return self.rig.plant.step(TICK_S, self.heat, self._door(), fan, mains)

    def _door(self) -> float:
        """How far the door is open: a person opens it at the cue and then leaves it open."""
        if self.door_forced is not None:
            return self.door_forced
        if self.rig.door_after_s is None:
            return 0.0
        if self._cue_ms == NONE and self.machine.command.door_cue:
            self._cue_ms = self.now_ms
        if self._cue_ms == NONE:
            return 0.0
        waited_s = (self.now_ms - self._cue_ms) / 1000 - self.rig.door_after_s
        return min(max(waited_s / DOOR_SWING_S, 0.0), 1.0)

    def _sense(self, temperatures: dict[str, float]) -> None:
        bead_c = self.bead.felt_c(temperatures, self.rig.ambient_c, TICK_S)
        self.rig.sensor.serve(self.now_ms, bead_c, self.rig.ambient_c)
        self.rig.sensor.fill(self.now_ms, self._inputs)
        self._inputs.door = int(self._door() > 0.5)

    def _note_trip(self) -> None:
        if self.machine.state == TRIPPED and self._tripped_ms == NONE:
            self._tripped_ms = self.now_ms

    def _tell(self, temperatures: dict[str, float]) -> None:
        self._emit(self.sample())
        run_ms = self.machine.line_ms(self.now_ms)
        self._emit(["t", self._next(), run_ms, *_truth(temperatures)])

    def sample(self) -> Line:
        """This tick's "s" line, whether a run is going on or not."""
        run_ms = self.machine.line_ms(self.now_ms)
        inputs = [getattr(self._inputs, name) for name in INPUT_FIELDS]
        commanded = [getattr(self.machine.command, name) for name in COMMAND_FIELDS]
        return ["s", self._next(), run_ms, *inputs, *commanded]

    def _say(self, run_ms: int, code: int, seen: int, expected: int) -> None:
        self._emit(["e", self._next(), run_ms, code, seen, expected])

    def _next(self) -> int:
        self._seq += 1
        return self._seq


def run(rig: Rig, plan: bytes, emit: Callable[[Line], None]) -> SimulatedController:
    """Arm, start and run one plan to its end, with nobody but the person at the door.

    Raises ValueError where arming is refused.
    """
    controller = SimulatedController(rig, emit)
    refused = controller.arm(controller.put(plan)) or controller.start()
    if refused:
        raise ValueError(f"{refused[1]} [{refused[0]}]")
    while not controller.is_over:
        controller.tick()
    return controller


def _truth(temperatures: dict[str, float]) -> list[int]:
    names = ("board", "small_part", "large_part", "air")
    return [round(temperatures[n] * 1000) if n in temperatures else NONE for n in names]


class _Outputs:
    """SSR and safety relay, both behind the core's cut-off, as on the chip."""

    def __init__(self, actuator: Actuator) -> None:
        self._actuator = actuator
        self._cutoff = Cutoff()
        self.has_two = True
        self._live = False
        self._ssr_alone = False
        self._open_ticks = 0
        self._duty = 0
        self._relay = 0

    def apply(self, now_ms: int, command: Command) -> None:
        self._duty, self._relay = command.duty, command.relay
        if self._ssr_alone:
            self._duty = FULL_DUTY
            self._ssr_alone = False

    def close_ssr(self) -> None:
        self._ssr_alone = True

    def off(self) -> None:
        self._duty = self._relay = 0
        self._ssr_alone = False
        self._cutoff.drop()

    def judge(self, now_ms: int, inputs: Inputs, machine: StateMachine) -> None:
        """Renew the lease, or let the rules have their say and then end the run without them."""
        self._cutoff.renew(now_ms, inputs.sensor_mc, inputs.sensor_seq)
        if machine.state != RUNNING or self._cutoff.allows(now_ms):
            self._open_ticks = 0
            return
        self._open_ticks += 1
        if self._open_ticks > CUTOFF_SPEAKS_TICKS:
            machine.cutoff_opened()

    def follow(self, now_ms: int, inputs: Inputs, machine: StateMachine) -> None:
        """The lease begins with the first output that may close, and no later."""
        if machine.is_live and not self._live:
            self._cutoff.arm(now_ms, inputs.sensor_seq)
        elif not machine.is_live:
            self._cutoff.drop()
        self._live = machine.is_live

    def share(self, now_ms: int) -> float:
        allowed = self._cutoff.allows(now_ms)
        return self._actuator.share(TICK_S, self._duty * allowed, self._relay * allowed)


class _Store:
    """What the controller keeps, for as long as the simulation lives."""

    def __init__(self, was_heated: bool) -> None:
        self.plans: dict[str, bytes] = {}
        self._marker = ""
        self._was_heated = was_heated

    def plan(self, plan_id: str) -> bytes | None:
        return self.plans.get(plan_id)

    def marker(self) -> str:
        return self._marker

    def open_marker(self, text: str) -> bool:
        self._marker = text
        return True

    def note_marker(self, text: str) -> None:
        self._marker += " " + text

    def close_marker(self) -> bool:
        self._marker = ""
        return True

    def was_heated(self) -> bool:
        return self._was_heated

    def watchdog_resets(self) -> int:
        return 0

    def forget_resets(self) -> None:
        return

    def forget_heat(self) -> None:
        return
