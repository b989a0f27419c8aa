"""Codes on the wire and their names. A code once given keeps its meaning."""

STAGES = ("preheat", "soak", "ramp_up", "reflow", "ramp_down")
RAMP_DOWN = 4

LAWS = ("track", "setpoint", "duty")
TRACK = 0
SETPOINT = 1
DUTY = 2

WAITS = ("mark", "press", "above")
WAIT_MARK = 0
WAIT_PRESS = 1
WAIT_ABOVE = 2

HOST_LOST = ("continue", "stop")
CONTINUE = 0
STOP = 1

# Trips, 1..99. The first seven are the sensor's status of the same number.
SENSOR_STALE = 8
SENSOR_RANGE = 9
OVER_TEMPERATURE = 10
OVER_PLAN_CEILING = 11
BOARD_TOO_HOT = 12
RUN_TOO_LONG = 13
TICK_LEASE = 14
PLAN_CORRUPT = 15
SENSOR_REVERSED = 16
SENSOR_WRONG_TYPE = 17
SENSOR_STUCK = 18
SENSOR_RATE = 19  # the reading moved faster than any source can heat or cool
SENSORS_DISAGREE = 20
COLD_JUNCTION_RANGE = 21
NO_RESPONSE = 22  # heat is on, and the sensor does not show it
RISE_WITHOUT_HEAT = 23
NOT_AS_EXPECTED = 24  # the residual: heat that nobody commanded, or heat that is missing
CURRENT_IN_OFF_SLOT = 25
NO_CURRENT = 26
CLOCK_JUMP = 27
NOT_COOLING = 28  # heat is off and the reading has begun to fall, and stands still
FALL_UNDER_HEAT = 29  # much heat is on, and the reading falls: the bead has come off
# The controller's own, outside a run's ticks.
POWER_LOST = 80  # the "open" marker was found at boot: a run was cut short
WATCHDOG_RESETS = 81
CURRENT_WHILE_OFF = 82
HOT_AFTER_OFF = 83  # over the plan's sensor limit while cooling
CUTOFF_OPEN = 85  # the cut-off's lease ran out before any rule spoke
NOT_PROVEN_OFF = 84  # in cooling, and the sensor has not shown it for twenty minutes
UNEXPLAINED_RISE = 86  # warmer by itself, with no run going on
OUTPUT_WELDED = 87  # the proof at arming: one output alone let heat through
TRIP_NAMES = {
    0: "none",
    1: "sensor_open",
    2: "sensor_short_to_ground",
    3: "sensor_short_to_supply",
    4: "sensor_out_of_range",
    5: "sensor_dead_bus",
    6: "sensor_frozen",
    7: "sensor_cold_junction",
    8: "sensor_stale",
    9: "sensor_range",
    10: "over_temperature",
    11: "over_plan_ceiling",
    12: "board_too_hot",
    13: "run_too_long",
    14: "tick_lease",
    15: "plan_corrupt",
    16: "sensor_reversed",
    17: "sensor_wrong_type",
    18: "sensor_stuck",
    19: "sensor_rate",
    20: "sensors_disagree",
    21: "cold_junction_range",
    22: "no_response",
    23: "rise_without_heat",
    24: "not_as_expected",
    25: "current_in_off_slot",
    26: "no_current",
    27: "clock_jump",
    28: "not_cooling",
    29: "fall_under_heat",
    80: "power_lost",
    81: "watchdog_resets",
    82: "current_while_off",
    83: "hot_after_off",
    84: "not_proven_off",
    85: "cutoff_open",
    86: "unexplained_rise",
    87: "output_welded",
}

# Notes: what the run is doing, where that is not plain progress. A level, not an event.
NOTE_WAIT_MARK = 1
NOTE_WAIT_PRESS = 2
NOTE_WAIT_ABOVE = 3
NOTE_NOT_MELTED = 4  # no mark in time: heat ended, the plan went on to ramp_down
NOTE_NOT_CONFIRMED = 5  # no press in time: the same
NOTE_NO_READING = 6  # running on the last good reading, or without heat where that is too old
NOTE_STOPPED = 7  # the stop input: heat ended for good
NOTE_HOST_LOST = 8  # the plan says stop when the host is silent: heat ended for good
NOTE_FINISHED = 9  # the plan's end
NOTE_DOOR_OPEN = 10  # heat waits for the door to be shut
NOTE_DOOR_LEFT_OPEN = 11  # it was not shut in time: heat ended for good
NOTE_PULL_PLUG = 12  # heat that no command can end: sounds until somebody acknowledges
NOTE_NAMES = {
    0: "none",
    1: "wait_mark",
    2: "wait_press",
    3: "wait_above",
    4: "not_melted",
    5: "not_confirmed",
    6: "no_reading",
    7: "stopped",
    8: "host_lost",
    9: "finished",
    10: "door_open",
    11: "door_left_open",
    12: "pull_plug",
}

# The code of an "e" line is a trip's code (1..99) or one of these.
EVENT_MARK = 101
EVENT_UNMARK = 102
EVENT_NOT_MELTED = 103
EVENT_STAGE = 104  # seen: the new stage, expected: the one before
EVENT_STOP = 105
EVENT_DOOR = 106
EVENT_ARM = 107
EVENT_NAMES = {
    101: "mark",
    102: "unmark",
    103: "not_melted",
    104: "stage",
    105: "stop",
    106: "door",
    107: "arm",
}
