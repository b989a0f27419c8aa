"""The plan's own clock: runs on, or stands still at a wait until its event or its time limit."""

from heatcore.codes import (
    NOTE_NOT_CONFIRMED,
    NOTE_NOT_MELTED,
    NOTE_WAIT_MARK,
    RAMP_DOWN,
    WAIT_ABOVE,
    WAIT_MARK,
    WAIT_PRESS,
)
from heatcore.inputs import Inputs
from heatcore.plan import STAGES_WIDTH, WAITS_WIDTH, Plan

# Cells of a row of plan.waits.
AT_MS = 0
KIND = 1
VALUE_MC = 2
MAX_MS = 3
HOLD_DUTY = 4


class Scheduler:
    def __init__(self, plan: Plan) -> None:
        self.plan_ms = 0
        self.stage = plan.stages[1]
        self.waiting = False
        self.outcome = 0  # note of a wait that ended the heating; 0 none
        self._plan = plan
        self._end_ms = plan.t_ms[len(plan.t_ms) - 1]
        self._row = 0  # of the wait that comes next, or is on
        self._waited_ms = 0
        self._stretch_left_ms = plan.stretch_ms
        self._marks = 0  # used up by earlier waits
        self._presses = 0
        self._asked = False  # a press is asked for before its wait begins ...
        self._unanswered = False  # ... and nobody has given it yet
        self._stage_row = 0

    def begin(self, inputs: Inputs) -> None:
        self._marks = inputs.mark

    def advance(self, elapsed_ms: int, inputs: Inputs, sensor_mc: int) -> None:
        if self.waiting:
            self._wait(elapsed_ms, inputs, sensor_mc)
        else:
            self._ask(inputs, sensor_mc)
            self._pass_by(self.plan_ms + elapsed_ms, sensor_mc)
            self._run(elapsed_ms)
        self._find_stage()

    def is_finished(self) -> bool:
        return self.plan_ms >= self._end_ms and self._row >= len(self._plan.waits)

    def horizon_ms(self) -> int:
        """How far the clock is sure to run on: to the next wait, or the end."""
        return self._cell(AT_MS) if self._row < len(self._plan.waits) else self._end_ms

    def hold_duty(self) -> int:
        return self._cell(HOLD_DUTY)

    def wait_note(self) -> int:
        """The three notes of waiting stand in the order of the kinds of wait."""
        return NOTE_WAIT_MARK + self._cell(KIND) if self.waiting or self._unanswered else 0

    def _cell(self, column: int) -> int:
        return self._plan.waits[self._row + column]

    def _ask(self, inputs: Inputs, sensor_mc: int) -> None:
        """A press with a temperature is asked for from there on; its wait is only the last moment.

        Any other count of presses than the one at the question is an answer.
        """
        if not self._asked:
            self._presses = inputs.press
            self._asked = self._asks_early() and sensor_mc >= self._cell(VALUE_MC)
        self._unanswered = self._asked and inputs.press == self._presses

    def _asks_early(self) -> bool:
        is_press = self._row < len(self._plan.waits) and self._cell(KIND) == WAIT_PRESS
        return is_press and self._cell(VALUE_MC) > 0

    def _pass_by(self, reached_ms: int, sensor_mc: int) -> None:
        """A sensor that is there already is not waited for, not even for a tick."""
        if self._row >= len(self._plan.waits) or reached_ms < self._cell(AT_MS):
            return
        if self._cell(KIND) == WAIT_ABOVE and sensor_mc >= self._cell(VALUE_MC):
            self._leave()

    def _run(self, elapsed_ms: int) -> None:
        horizon_ms = self.horizon_ms()
        self.plan_ms = min(self.plan_ms + elapsed_ms, horizon_ms)
        self.waiting = self.plan_ms == horizon_ms and self._row < len(self._plan.waits)
        self._waited_ms = 0
        if self.waiting and self._asked and not self._unanswered:
            self._leave()

    def _wait(self, elapsed_ms: int, inputs: Inputs, sensor_mc: int) -> None:
        self._waited_ms += elapsed_ms
        self._stretch_left_ms -= elapsed_ms
        if self._is_met(inputs, sensor_mc):
            self._leave()
        elif self._waited_ms >= self._cell(MAX_MS) or self._stretch_left_ms <= 0:
            self._give_up(self._cell(KIND))

    def _is_met(self, inputs: Inputs, sensor_mc: int) -> bool:
        """A mark may have come before the wait; a press answers a question just asked."""
        kind = self._cell(KIND)
        if kind == WAIT_MARK and inputs.mark > self._marks:
            self._marks = inputs.mark
            return True
        if kind == WAIT_PRESS:
            return inputs.press != self._presses
        return kind == WAIT_ABOVE and sensor_mc >= self._cell(VALUE_MC)

    def _leave(self) -> None:
        self._row += WAITS_WIDTH
        self.waiting = False
        self._asked = False
        self._unanswered = False

    def _give_up(self, kind: int) -> None:
        """A temperature not reached in time is let go; a person's word is not done without."""
        self._leave()
        if kind == WAIT_MARK:
            self.outcome = NOTE_NOT_MELTED
            self._go_to_ramp_down()
        elif kind == WAIT_PRESS:
            self.outcome = NOTE_NOT_CONFIRMED
            self._go_to_ramp_down()

    def _go_to_ramp_down(self) -> None:
        """No wait is left: with the heating ended there is nothing more to ask."""
        self._row = len(self._plan.waits)
        self.plan_ms = max(self.plan_ms, self._ramp_down_ms())

    def _ramp_down_ms(self) -> int:
        stages = self._plan.stages
        row = 0
        while row < len(stages):  # a range with a step would take memory
            if stages[row + 1] == RAMP_DOWN:
                return stages[row]
            row += STAGES_WIDTH
        return self._end_ms

    def _find_stage(self) -> None:
        stages = self._plan.stages
        following = self._stage_row + STAGES_WIDTH
        while following < len(stages) and stages[following] <= self.plan_ms:
            self._stage_row = following
            following += STAGES_WIDTH
        self.stage = stages[self._stage_row + 1]
