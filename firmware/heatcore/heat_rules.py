"""Rules that hold the heat that was commanded against what the sensors show of it."""

from heatcore.codes import TRACK
from heatcore.fall import Fall
from heatcore.inputs import NONE, Inputs
from heatcore.limits import (
    COOLS_ABOVE_MC,
    COOLS_AFTER_MS,
    COOLS_FALL_MK,
    COOLS_MK,
    COOLS_MS,
    COOLS_OPEN_MS,
    CURRENT_DUTY,
    CURRENT_MA,
    CURRENT_PATIENCE_MS,
    HEATED_FALL_MK,
    HEATED_MS,
    NO_CURRENT_PATIENCE_MS,
    OFF_DUTY,
    RESPONSE_BEHIND_MK,
    RESPONSE_DUTY,
    RESPONSE_KNOWN_MS,
    RESPONSE_MS,
    RESPONSE_RISE_MK,
    RISE_ENDED_MK,
    RISE_FALLEN_MK,
    RISE_OFF_LOOSE_MK,
    RISE_OFF_MK,
    SENSOR_PATIENCE_MS,
)
from heatcore.numbers import clamp
from heatcore.patience import Patience
from heatcore.plan import Plan
from heatcore.reading import Reading
from heatcore.scene import Scene


def coast_mk(plan: Plan) -> int:
    """How much further the sensor rises in the plan once its heating has ended."""
    last = len(plan.u) - 1
    while last > 0 and plan.u[last] == 0:
        last -= 1
    ended_mc = top_mc = plan.y_mc[last]
    while last < len(plan.y_mc):
        top_mc = max(top_mc, plan.y_mc[last])
        last += 1
    return top_mc - ended_mc


def rise_allowed_mk(plan: Plan, beyond_mk: int) -> int:
    """Of a reading while no heat is commanded: loose where no model says how far it coasts."""
    return beyond_mk + coast_mk(plan) if plan.law == TRACK else RISE_OFF_LOOSE_MK


def response_ms(plan: Plan) -> int:
    """Half as long again as the plan's own curve takes to its first answer; no model, the most."""
    if plan.law != TRACK:
        return RESPONSE_MS
    answered_mc = plan.y_mc[0] + RESPONSE_RISE_MK
    for at in range(1, len(plan.y_mc)):
        if plan.y_mc[at] >= answered_mc:
            return clamp(
                _reached_ms(plan, at, answered_mc) * 3 // 2, RESPONSE_KNOWN_MS, RESPONSE_MS
            )
    return RESPONSE_MS


def is_slow(plan: Plan) -> bool:
    """Left shut, such a source rises further than its plan shows."""
    return response_ms(plan) > RESPONSE_KNOWN_MS


def is_cooled_by_door(plan: Plan) -> bool:
    """Whether a known source's plan shows its reading fall far from the door's cue on."""
    last = len(plan.t_ms) - 1
    if plan.door_cue_ms < 0 or is_slow(plan):
        return False
    at = last
    while at > 0 and plan.t_ms[at - 1] >= plan.door_cue_ms:
        at -= 1
    return plan.y_mc[at] - plan.y_mc[last] >= COOLS_FALL_MK


def _reached_ms(plan: Plan, at: int, mc: int) -> int:
    """On the straight line up to this knot, or a little later: the division rounds that way."""
    before_mc, before_ms = plan.y_mc[at - 1], plan.t_ms[at - 1]
    share = (plan.y_mc[at] - before_mc) // (mc - before_mc)
    return before_ms + (plan.t_ms[at] - before_ms) // share


class Response:
    """Heat that goes in must show: so long above half power lifts the source by some kelvin.

    Not while the reading keeps up with the plan, which may want it level.
    """

    def __init__(self, plan: Plan) -> None:
        self.seen = 0
        self.expected = RESPONSE_RISE_MK
        self._base_mc = NONE
        self._patience = Patience(response_ms(plan))

    def holds(self, reading: Reading, scene: Scene, elapsed_ms: int) -> bool:
        if reading.fault or scene.quiet:
            return self._patience.holds(True, elapsed_ms)
        if self._base_mc == NONE or reading.mc - self._base_mc >= RESPONSE_RISE_MK:
            self._base_mc = reading.mc
            self._patience.forgive()
        self._base_mc = min(self._base_mc, reading.mc)
        self.seen = reading.mc - self._base_mc
        behind = scene.y_mc == NONE or reading.mc < scene.y_mc - RESPONSE_BEHIND_MK
        return self._patience.holds(scene.duty < RESPONSE_DUTY or not behind, elapsed_ms)


class FallUnderHeat:
    """Under more than half power, for a while now, no reading falls far: the bead has come off."""

    def __init__(self) -> None:
        self.seen = 0
        self.expected = -HEATED_FALL_MK
        self._heated_ms = 0
        self._highest_mc = NONE
        self._patience = Patience(SENSOR_PATIENCE_MS)

    def holds(self, reading: Reading, scene: Scene, elapsed_ms: int) -> bool:
        if reading.fault:
            return self._patience.holds(True, 0)
        heats = scene.duty >= RESPONSE_DUTY and not scene.quiet
        self._heated_ms = min(self._heated_ms + elapsed_ms, HEATED_MS) if heats else 0
        if self._heated_ms < HEATED_MS:
            self._highest_mc = reading.mc
        self._highest_mc = max(self._highest_mc, reading.mc)
        self.seen = reading.mc - self._highest_mc
        return self._patience.holds(self.seen >= self.expected, elapsed_ms)


class RiseWithoutHeat:
    """From the moment that heat goes off, the reading rises no further than the source coasts.

    In ramp_down a known source's reading that has fallen does not rise again, unless the door was
    shut on hot walls.
    """

    def __init__(self, plan: Plan, fall: Fall) -> None:
        loose = is_slow(plan)
        self.seen = 0
        self.expected = 0
        self._fall = fall
        self._allowed_mk = rise_allowed_mk(plan, RISE_OFF_MK)
        self._ended_mk = rise_allowed_mk(plan, RISE_OFF_LOOSE_MK if loose else RISE_ENDED_MK)
        self._fallen_mk = RISE_OFF_LOOSE_MK if loose else RISE_FALLEN_MK
        self._patience = Patience(CURRENT_PATIENCE_MS)

    def holds(self, reading: Reading, scene: Scene, elapsed_ms: int) -> bool:
        if reading.fault:
            return self._patience.holds(True, 0)
        self.seen = reading.mc - self._fall.lowest_mc
        self.expected = self._allowed(scene)
        return self._patience.holds(self.seen <= self.expected, elapsed_ms)

    def _allowed(self, scene: Scene) -> int:
        if not scene.falling:
            return self._allowed_mk
        if self._fall.settling_ms:
            return max(self._ended_mk, RISE_OFF_LOOSE_MK)
        return self._fallen_mk if self._fall.has_begun else self._ended_mk


class Cooling:
    """In ramp_down the reading falls, and goes on falling, in a source that its door cools.

    Behind an open door a welded heater and the air that is lost about balance: nothing rises then.
    Falling begins by itself, or with a door that a switch tells has been open for a while.
    """

    def __init__(self, plan: Plan, fall: Fall) -> None:
        self.seen = 0
        self.expected = COOLS_MS
        self._fall = fall
        self._is_known = is_cooled_by_door(plan)
        self._step_mc = NONE
        self._open_ms = 0

    def holds(self, reading: Reading, inputs: Inputs, scene: Scene, elapsed_ms: int) -> bool:
        is_open = inputs.door == 1
        self._open_ms = min(self._open_ms + elapsed_ms, COOLS_AFTER_MS) if is_open else 0
        self.expected = COOLS_OPEN_MS if is_open else COOLS_MS
        if reading.fault == 0:
            self._count(reading.mc, self._is_due(scene), elapsed_ms)
        return self.seen <= self.expected

    def _is_due(self, scene: Scene) -> bool:
        is_off = self._is_known and scene.falling and scene.duty < OFF_DUTY
        begun = self._fall.has_begun or self._open_ms >= COOLS_AFTER_MS
        return is_off and begun and not self._fall.settling_ms

    def _count(self, mc: int, is_due: bool, elapsed_ms: int) -> None:
        if not is_due or mc <= max(self._step_mc - COOLS_MK, COOLS_ABOVE_MC):
            self._step_mc = mc
            self.seen = 0
        else:
            self.seen += elapsed_ms


class OffSlot:
    """Current while the heater is commanded off, for a whole second or in an off-slot.

    A negative current_ma is what flowed in the off-slots of a heater that is being fired.
    """

    def __init__(self) -> None:
        self._patience = Patience(CURRENT_PATIENCE_MS)

    def holds(self, inputs: Inputs, scene: Scene, elapsed_ms: int) -> bool:
        flows_off = scene.duty == 0 and inputs.current_ma > CURRENT_MA
        leaks = NONE < inputs.current_ma < -CURRENT_MA
        return self._patience.holds(not (flows_off or leaks), elapsed_ms)


class NoCurrent:
    """None in the on-slots, while there is a sensor that would show it."""

    def __init__(self) -> None:
        self._patience = Patience(NO_CURRENT_PATIENCE_MS)

    def holds(self, inputs: Inputs, scene: Scene, elapsed_ms: int) -> bool:
        is_told = scene.duty >= CURRENT_DUTY and inputs.current_ma != NONE
        flows = not -CURRENT_MA <= inputs.current_ma <= CURRENT_MA
        return self._patience.holds(flows or not is_told, elapsed_ms)
