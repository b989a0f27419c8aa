"""The loosest values there are. A plan or the configuration may tighten them, never loosen."""

TICK_MS = 250  # four a second: an oven needs one, the slowest converter gives four
LEASE_MS = 1000  # between ticks, and for the age of the last good reading: four ticks
WATCHDOG_MS = 2000  # a program that was held up longer is not running any more: the clock jumped
HOST_LEASE_MS = 3000  # of silence before the host counts as lost: a laptop may stutter
RUN_MAX_MS = 3_600_000  # an hour: sand and hot plates, the slowest sources, need most of it
OVEN_RUN_MAX_MS = 1_800_000  # half of it for all others: an oven that takes longer met a fault

SENSOR_MAX_MC = 300_000  # above this the heater's surroundings and the board laminate char
BOARD_MAX_MC = 275_000  # parts classified for lead-free reflow are tested to 260 degrees
SENSOR_LOW_MC = -20_000  # no workshop is colder: below it the leads are reversed
SENSOR_HIGH_MC = 500_000  # the end of the thermocouple's table: beyond it no reading is believed
JUNCTION_LOW_MC = -10_000  # no workshop is colder, and no chip beside an oven that works is
JUNCTION_HIGH_MC = 70_000  # hotter, the case of the electronics is being cooked
DUTY_MAX = 9_800  # of 10,000: leaves an off-slot in each second, in which a weld can be seen

# One bad sample ruins no board; a fault that stays always trips.
SENSOR_PATIENCE_MS = 2000
OVER_PATIENCE_MS = 500  # three samples in a row: a spike on the wires is one
RATE_PATIENCE_MS = 500  # the same
CURRENT_PATIENCE_MS = 1000  # a second holds an off-slot even at DUTY_MAX

# How fast a reading can move. A plan for a known source says how fast it rises.
RISE_MAX_MK_S = 20_000  # no source here heats its sensor faster, hot air included
RISE_NOISE_MK = 1_500  # of two readings a second apart: steps of 0.25 K and noise
FALL_MAX_MK_S = 6_000  # a shut source loses 1 K/s; a bead that falls off at 40 K above, 9 K/s

# Reversed leads read as much too low as they ought to read too high.
REVERSED_MK = 10_000  # below the start: a draught over the bead is less
# A thermocouple of another type gives a fixed share of what it should.
WRONG_TYPE_RISE_MK = 50_000  # of the plan: enough for its share to be told from the source's spread
WRONG_TYPE_LOW_PERCENT = 45  # types R, S and B give 15 to 30 % of type K; a weak source over 60 %
WRONG_TYPE_HIGH_PERCENT = 160  # above what more power than there is could give
RESPONSE_MIN_MK = 3_000  # has answered at all

# A whole word that stays the same while the heater does not is no temperature.
STUCK_MS = 10_000  # in a source that answers within 5 to 10 s
STUCK_DUTY = 3_000  # duty changed by so much meanwhile

DISAGREE_MK = 100_000  # air over board while heating at full power is 60 to 80 K
DISAGREE_PATIENCE_MS = 5_000  # a door that swings makes two beads differ for some seconds

# Heating without response.
RESPONSE_DUTY = 5_000  # below half power a source may well stand still
RESPONSE_MS = 120_000  # sand, the slowest, shows its board no warmer for 45 s and more
RESPONSE_KNOWN_MS = 60_000  # where a plan shows that its source answers sooner: every oven does
RESPONSE_RISE_MK = 4_000  # half power lifts the slowest source by 9 K in the longer time
RESPONSE_BEHIND_MK = 3_000  # and while it is this far behind the plan
HEATED_MS = 15_000  # of more than half power: by then the slowest oven's reading falls no more
HEATED_FALL_MK = 12_000  # above half power; reversed leads, which fall too, are told sooner

# Rising without heat.
OFF_DUTY = 500  # less than a twentieth holds no source above 60 degrees
RISE_OFF_MK = 10_000  # above the source's own coast: heat cut in full rise carries on for longer
RISE_ENDED_MK = 8_000  # in ramp_down, where the plan shows the coast: 1.5 K more where nobody lifts
FALLEN_MK = 3_000  # below its highest, a reading falls: noise and steps are a third of it
RISE_FALLEN_MK = 4_000  # in ramp_down, once it has fallen: nothing coasts any more
COOLS_MK = 1_000  # in ramp_down, once it falls: further down by so much in the times below
COOLS_MS = 12_000  # the slowest oven here, its door left shut, takes 6 s
COOLS_OPEN_MS = 7_000  # where a switch tells that the door is open: 4 s
COOLS_AFTER_MS = 10_000  # so long open, and the heater's own warmth lifts nothing any more
COOLS_FALL_MK = 30_000  # the plan shows it behind its door: an oven's does, a plate's does not
COOLS_ABOVE_MC = 100_000  # a weld holds every oven above it; towards the room all falls are slow
RISE_OFF_LOOSE_MK = 30_000  # without a model: what the slowest source coasts, and half again

# The push of a source within one run: see drift.py.
DRIFT_BEGIN_BLOCKS = 20  # at the start, a source that was warm or cold has settled by then
DRIFT_SETTLE_BLOCKS = 10  # after a gap the push has built up by then
DRIFT_SMOOTH_BLOCKS = 4  # eight seconds: a slow source's noise is half of its push

# Heater current.
CURRENT_MA = 200  # a relay that is off leaks some mA; the smallest heater in reach draws 1 A
CURRENT_DUTY = 2_000  # from here on each tick holds two whole on-slots
NO_CURRENT_PATIENCE_MS = 5_000  # a relay's contact bounces, a sensor averages

# The door.
DOOR_WAIT_MS = 10_000  # a glance at the board; longer, and the plan no longer fits
DOOR_QUIET_MS = 60_000  # until the air in a source is again what its model expects
