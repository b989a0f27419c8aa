"""The loosest values there are. A plan or the configuration may tighten them, never loosen."""

TICK_MS = 250  # four a second: an oven needs one, the slowest converter gives four
LEASE_MS = 1000  # between ticks, and for the age of the last good reading: four ticks
HOST_LEASE_MS = 3000  # of silence before the host counts as lost: a laptop may stutter
RUN_MAX_MS = 3_600_000  # an hour: sand and hot plates, the slowest sources, need most of it

SENSOR_MAX_MC = 300_000  # above this the heater's surroundings and the board laminate char
BOARD_MAX_MC = 275_000  # parts classified for lead-free reflow are tested to 260 degrees
SENSOR_LOW_MC = -20_000  # no workshop is colder: below it the leads are reversed
SENSOR_HIGH_MC = 500_000  # the end of the thermocouple's table: beyond it no reading is believed
DUTY_MAX = 9_800  # of 10,000: leaves an off-slot in each second, in which a weld can be seen

# One bad sample ruins no board; a fault that stays always trips.
SENSOR_PATIENCE_MS = 2000
OVER_PATIENCE_MS = 500  # three samples in a row: a spike on the wires is one
