"""Rules that hold the heat that was commanded against what the sensors show of it."""

from heatcore.codes import TRACK
from heatcore.inputs import NONE, Inputs
from heatcore.limits import (
    CURRENT_DUTY,
    CURRENT_MA,
    CURRENT_PATIENCE_MS,
    DOOR_QUIET_MS,
    FALLEN_MK,
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


class RiseWithoutHeat:
    """From the moment that heat goes off, the reading rises no further than the source coasts.

    In ramp_down a known source's reading that has fallen does not rise again, unless the door was
    shut on hot walls.
    """

    def __init__(self, plan: Plan) -> None:
        loose = is_slow(plan)
        self.seen = 0
        self.expected = 0
        self._allowed_mk = rise_allowed_mk(plan, RISE_OFF_MK)
        self._ended_mk = rise_allowed_mk(plan, RISE_OFF_LOOSE_MK if loose else RISE_ENDED_MK)
        self._fallen_mk = RISE_OFF_LOOSE_MK if loose else RISE_FALLEN_MK
        self._lowest_mc = NONE
        self._highest_mc = NONE
        self._has_fallen = False
        self._settling_ms = 0
        self._patience = Patience(CURRENT_PATIENCE_MS)

    def holds(self, reading: Reading, scene: Scene, elapsed_ms: int) -> bool:
        if reading.fault:
            return self._patience.holds(True, 0)
        self._follow(reading.mc, scene)
        self._settling_ms = DOOR_QUIET_MS if scene.shutting else self._settling_ms - elapsed_ms
        self._settling_ms = max(0, self._settling_ms)
        self.seen = reading.mc - self._lowest_mc
        self.expected = self._allowed(scene)
        return self._patience.holds(self.seen <= self.expected, elapsed_ms)

    def _follow(self, mc: int, scene: Scene) -> None:
        if scene.duty >= OFF_DUTY or scene.shutting or self._lowest_mc == NONE:
            self._lowest_mc = self._highest_mc = mc
            self._has_fallen = False
        self._lowest_mc = min(self._lowest_mc, mc)
        self._highest_mc = max(self._highest_mc, mc)
        if not self._has_fallen and mc <= self._highest_mc - FALLEN_MK:
            self._has_fallen = True
            self._lowest_mc = mc

    def _allowed(self, scene: Scene) -> int:
        if not scene.falling:
            return self._allowed_mk
        if self._settling_ms:
            return max(self._ended_mk, RISE_OFF_LOOSE_MK)
        return self._fallen_mk if self._has_fallen else self._ended_mk


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
