"""What the rules are told besides the readings: where the run stands, and what was commanded."""

from heatcore.inputs import NONE


class Scene:
    """One object, overwritten before each tick's judgement. Commands are those of the last tick."""

    def __init__(self) -> None:
        self.running = True  # the run goes on: its time counts
        self.quiet = False  # a door is or was just open: only what a door cannot cause is judged
        self.waiting = False  # the plan's clock stands still
        self.falling = False  # in ramp_down: the reading may fall as fast as it likes
        self.shutting = False  # the door has just been shut: the walls warm the reading again
        self.plan_ms = 0
        self.duty = 0
        self.ff_duty = 0
        self.y_mc = NONE
