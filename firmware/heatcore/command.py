"""What the core answers each tick: the same object, overwritten."""

from heatcore.inputs import NONE

# The order on the wire and in a record.
FIELDS = (
    "duty",  # 0..9800 parts of 10,000
    "relay",  # 1 while heat is allowed at all
    "fan",  # 1 from the first tick to the plan's end
    "door_cue",  # 1 from the plan's door cue on
    "stage",  # index into codes.STAGES
    "y_mc",  # where the sensor ought to be; NONE where the plan does not say
    "ff_duty",  # the plan's own duty, before feedback
    "trip",  # codes.TRIP_NAMES; 0 none
    "note",  # codes.NOTE_NAMES; 0 none
)


class Command:
    """Starts as silence: no heat, no relay."""

    def __init__(self) -> None:
        self.duty = 0
        self.relay = 0
        self.fan = 0
        self.door_cue = 0
        self.stage = 0
        self.y_mc = NONE
        self.ff_duty = 0
        self.trip = 0
        self.note = 0
