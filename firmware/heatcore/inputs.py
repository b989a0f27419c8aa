"""What the core is told each tick: integers only, one object, preallocated by the caller."""

NONE = -(1 << 29)  # "missing": a small integer on every port, and no possible reading

# sensor_status and second_status
OK = 0
OPEN = 1
SHORT_TO_GROUND = 2
SHORT_TO_SUPPLY = 3
OUT_OF_RANGE = 4
DEAD_BUS = 5
FROZEN = 6
COLD_JUNCTION = 7

# The order on the wire and in a record: never taken from a dict.
FIELDS = (
    "sensor_mc",  # the control sensor
    "sensor_status",
    "sensor_seq",  # moves with each conversion: freshness is never a value that changes
    "sensor_age_ms",
    "cold_junction_mc",
    "second_mc",  # a thermocouple on the board, where fitted; NONE where not
    "second_status",
    "second_seq",
    "second_age_ms",
    "door",  # 0 shut, 1 open, NONE no switch
    "stop",  # 0, or 1 while a stop is asked for
    "mark",  # counter: moves up with a melt mark, down with its withdrawal
    "press",  # counter: moves with each press of the start or presence button
    "current_ma",  # NONE where no sensor is fitted; negative: what flowed in off-slots
    "host_age_ms",  # since the last word from the host; NONE with no host
)


class Inputs:
    """Starts as "nothing known": no reading, no host, and so no heat."""

    def __init__(self) -> None:
        self.sensor_mc = NONE
        self.sensor_status = DEAD_BUS
        self.sensor_seq = 0
        self.sensor_age_ms = NONE
        self.cold_junction_mc = NONE
        self.second_mc = NONE
        self.second_status = DEAD_BUS
        self.second_seq = 0
        self.second_age_ms = NONE
        self.door = NONE
        self.stop = 0
        self.mark = 0
        self.press = 0
        self.current_ma = NONE
        self.host_age_ms = NONE
