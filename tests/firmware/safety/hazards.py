"""One hazard, one mixin. Each profile of a run inherits those that can meet it.

A mixin's `profile` gives the plan's document. Limits are sampled on both sides, and the sampling
must have crossed them.
"""

from firmware.safety.driven import PATIENT_MS, STRUCK_MS, Drive, across, crosses, modelled, still
from heatcore import codes, inputs
from heatcore import limits as lim
from heatcore.plan import BOARD_MAX, RUN_MAX, SENSOR_MAX


def setting(**changes):
    def change(given, drive):
        for name, value in changes.items():
            setattr(given, name, value)

    return change


def held(name):
    """The field stays at what it is now."""

    def change(given, drive):
        drive.kept = getattr(drive, "kept", None) or {}
        setattr(given, name, drive.kept.setdefault(name, getattr(given, name)))

    return change


class Hazard:
    profile = staticmethod(dict)

    def warm(self, ms=STRUCK_MS, **changes):
        return Drive({**self.profile(), **changes}).run_to(ms)

    def trips_with(self, code, change, within_ms, drive=None):
        """The rule speaks in time, heat is off from then on, and stays off."""
        drive = drive or self.warm()
        trip, ms = drive.trip_after(change)
        assert trip == code, drive.said()
        assert ms <= within_ms
        assert drive.command.duty == drive.command.relay == 0
        assert drive.stays_off()
        return drive

    def tripped(self, code, change, ms, drive=None):
        """Whether exactly this rule trips within so long."""
        return (drive or self.warm()).trip_after(change, ms)[0] == code


class SensorStatus(Hazard):
    def test_each_status_trips_by_its_own_name_and_heat_goes_within_a_lease(self):
        for status in range(inputs.OPEN, inputs.COLD_JUNCTION + 1):
            change = setting(sensor_status=status, sensor_mc=inputs.NONE)
            drive = self.trips_with(status, change, lim.SENSOR_PATIENCE_MS + 250)
            struck = STRUCK_MS // lim.TICK_MS
            assert not any(drive.duties[struck + lim.LEASE_MS // lim.TICK_MS :])

    def test_an_unknown_status_is_no_reading(self):
        self.trips_with(codes.SENSOR_STALE, setting(sensor_status=99), 2_250)

    def test_what_is_borne(self):
        change = setting(sensor_status=inputs.OPEN)
        times = across(lim.SENSOR_PATIENCE_MS, lim.TICK_MS)
        crosses(times, [self.tripped(1, change, ms) for ms in times], lim.SENSOR_PATIENCE_MS)


class SensorStale(Hazard):
    def test_a_sequence_that_stands_still(self):
        self.trips_with(codes.SENSOR_STALE, held("sensor_seq"), 2_500)

    def test_an_old_reading(self):
        ages = across(lim.LEASE_MS, 1)
        trips = [
            self.tripped(codes.SENSOR_STALE, setting(sensor_age_ms=age), 2_500) for age in ages
        ]
        crosses(ages, trips, lim.LEASE_MS)

    def test_an_age_below_nought(self):
        self.trips_with(codes.SENSOR_STALE, setting(sensor_age_ms=-1), 2_250)


class SensorRange(Hazard):
    def test_above_and_below_what_any_reading_can_be(self):
        for limit, direction in ((lim.SENSOR_HIGH_MC, 1), (lim.SENSOR_LOW_MC, -1)):
            values = across(limit, 1)
            trips = [
                self.tripped(codes.SENSOR_RANGE, setting(sensor_mc=mc), 2_500) for mc in values
            ]
            crosses(values, trips, limit, direction)

    def test_missing(self):
        self.trips_with(codes.SENSOR_RANGE, setting(sensor_mc=inputs.NONE), 2_250)


class ColdJunction(Hazard):
    def test_out_of_range(self):
        for limit, direction in ((lim.JUNCTION_HIGH_MC, 1), (lim.JUNCTION_LOW_MC, -1)):
            values = across(limit, 1)
            trips = [
                self.tripped(codes.COLD_JUNCTION_RANGE, setting(cold_junction_mc=mc), 2_500)
                for mc in values
            ]
            crosses(values, trips, limit, direction)

    def test_trips_in_time(self):
        self.trips_with(codes.COLD_JUNCTION_RANGE, setting(cold_junction_mc=85_000), 2_250)


class SensorReversed(Hazard):
    def test_from_a_cold_start(self):
        def mirror(given, drive):
            given.sensor_mc = 2 * 25_000 - given.sensor_mc

        self.trips_with(codes.SENSOR_REVERSED, mirror, 45_000, self.warm(0))


class SensorRate(Hazard):
    def test_a_bead_that_falls_into_the_room(self):
        def falls(given, drive):
            drive.kept = getattr(drive, "kept", given.sensor_mc)
            drive.kept -= (drive.kept - 25_000) // 16
            given.sensor_mc = drive.kept

        assert self.warm().oven.inputs.sensor_mc >= 25_000 + 40_000
        self.trips_with(codes.SENSOR_RATE, falls, 3_000)

    def test_leads_that_touch(self):
        self.trips_with(codes.SENSOR_RATE, setting(sensor_mc=25_000), 3_000)

    def test_a_leap_up(self):
        def leaps(given, drive):
            given.sensor_mc += 60_000

        self.trips_with(codes.SENSOR_RATE, leaps, 3_000)

    def test_how_fast_a_reading_may_fall(self):
        def falling(mk_a_second):
            def change(given, drive):
                drive.kept = getattr(drive, "kept", 200_000) - mk_a_second // 4
                given.sensor_mc = drive.kept

            return change

        def falls(rate):
            drive = self.warm(1_000)
            drive.trip_after(setting(sensor_status=inputs.OPEN), 500)  # nothing is known before
            return self.tripped(codes.SENSOR_RATE, falling(rate), 4_000, drive)

        rates = across(lim.FALL_MAX_MK_S, 4)
        crosses(rates, [falls(rate) for rate in rates], lim.FALL_MAX_MK_S)


class SensorStuck(Hazard):
    def test_the_whole_word_while_the_duty_changes(self):
        def sticks(given, drive):
            held("sensor_mc")(given, drive)
            drive.command.duty = 9_000 if drive.now_ms // 2_000 % 2 else 1_000

        self.trips_with(codes.SENSOR_STUCK, sticks, lim.STUCK_MS + 500)

    def test_steadiness_with_a_junction_that_lives_is_no_fault(self):
        def steady(given, drive):
            held("sensor_mc")(given, drive)
            given.cold_junction_mc += drive.now_ms // 250 % 2 * 62
            drive.command.duty = 9_000 if drive.now_ms // 2_000 % 2 else 1_000

        assert not self.tripped(codes.SENSOR_STUCK, steady, 30_000)


class SensorsDisagree(Hazard):
    def test_how_far(self):
        def apart(mk):
            def change(given, drive):
                given.second_status, given.second_mc = inputs.OK, given.sensor_mc - mk

            return change

        for limit, direction in ((lim.DISAGREE_MK, 1), (-lim.DISAGREE_MK, -1)):
            values = across(limit, 1)
            trips = [self.tripped(codes.SENSORS_DISAGREE, apart(mk), 6_000) for mk in values]
            crosses(values, trips, limit, direction)

    def test_trips_in_time(self):
        def apart(given, drive):
            given.second_status, given.second_mc = inputs.OK, given.sensor_mc - 150_000

        self.trips_with(codes.SENSORS_DISAGREE, apart, lim.DISAGREE_PATIENCE_MS + 250)


class OverTemperature(Hazard):
    """With the rate rule out of the way: the reading had been lost for a moment."""

    def hot(self, mc, code, **changes):
        drive = self.warm(2_000, **changes)
        drive.loop._door._quiet_ms = PATIENT_MS
        return self.tripped(code, setting(sensor_mc=mc), 2_000, drive)

    def test_the_absolute_limit(self):
        limits = {**self.profile()["limits"], "sensor_max_mc": lim.SENSOR_MAX_MC}
        values = across(lim.SENSOR_MAX_MC, 1)
        trips = [self.hot(mc, codes.OVER_TEMPERATURE, limits=limits) for mc in values]
        crosses(values, trips, lim.SENSOR_MAX_MC)

    def test_the_plans_ceiling(self):
        limit = self.profile()["limits"]["sensor_max_mc"]
        values = across(limit, 1)
        crosses(values, [self.hot(mc, codes.OVER_PLAN_CEILING) for mc in values], limit)

    def test_what_was_tightened_after_reading_counts(self):
        drive = Drive(self.profile())
        drive.plan.limits[SENSOR_MAX] = 200_000
        drive = _again(drive)
        drive.loop._door._quiet_ms = PATIENT_MS
        assert self.tripped(codes.OVER_PLAN_CEILING, setting(sensor_mc=200_001), 2_000, drive)

    def test_no_plan_loosens_the_absolute_limit(self):
        drive = Drive(self.profile())
        drive.plan.limits[SENSOR_MAX] = 400_000
        drive = _again(drive)
        drive.loop._door._quiet_ms = PATIENT_MS
        assert drive.trip_after(setting(sensor_mc=300_001), 2_000)[0] in (10, 11)

    def test_the_board(self):
        limit = self.profile()["limits"]["board_max_mc"]

        def board(mc):
            drive = self.warm(2_000)
            drive.loop._door._quiet_ms = PATIENT_MS
            change = setting(second_status=inputs.OK, second_mc=mc)
            return self.tripped(codes.BOARD_TOO_HOT, change, 2_000, drive)

        values = across(limit, 1)
        crosses(values, [board(mc) for mc in values], limit)

    def test_no_plan_loosens_the_boards_limit(self):
        drive = Drive(self.profile())
        drive.plan.limits[BOARD_MAX] = 400_000
        drive = _again(drive)
        drive.loop._door._quiet_ms = PATIENT_MS
        hot = setting(second_status=inputs.OK, second_mc=lim.BOARD_MAX_MC + 1)
        assert self.tripped(codes.BOARD_TOO_HOT, hot, 2_000, drive)


def _again(drive):
    """A loop made after the plan's limits were changed."""
    from heatcore.loop import ControlLoop

    drive.loop = ControlLoop(drive.plan)
    drive.command = drive.loop.command
    return drive


class NoResponse(Hazard):
    def test_a_heater_that_gives_nothing(self):
        def cold(given, drive):
            given.sensor_mc = 25_000

        steady = self.warm(0, u=[6_000] * len(self.profile()["u"]))
        # where no model says how soon it answers, the time of the slowest source
        is_known = steady.plan.law == codes.TRACK
        longest_ms = 75_000 if is_known else lim.RESPONSE_MS + 15_000
        drive = self.trips_with(codes.NO_RESPONSE, cold, longest_ms, steady)
        assert drive.loop.trip_expected == lim.RESPONSE_RISE_MK


class FallUnderHeat(Hazard):
    def test_a_bead_that_hangs_in_cooler_air(self):
        def fallen(mk):
            drive = self.warm(**({"u": [6_000] * 6} if self.profile()["u"] else {}))
            before_mc = drive.given.sensor_mc

            def change(given, drive):
                drive.kept = max(getattr(drive, "kept", before_mc) - 1_000, before_mc - mk)
                given.sensor_mc = drive.kept
                drive.command.duty = 9_000

            return self.tripped(codes.FALL_UNDER_HEAT, change, 8_000, drive)

        values = across(lim.HEATED_FALL_MK, 1)
        crosses(values, [fallen(mk) for mk in values], lim.HEATED_FALL_MK)


class RiseWithoutHeat(Hazard):
    def test_a_weld_while_the_plan_wants_no_heat(self):
        drive = Drive(still(self.profile())).run_to(1_000)
        drive.heater_duty = 9_800
        self.trips_with(codes.RISE_WITHOUT_HEAT, None, 30_000, drive)

    def shut(self, rise_mk):
        """After the cue the door was open for a while, and is shut: the walls warm the reading."""
        doc = self.profile()
        cut = {"u": [*doc["u"][:-2], 0, 0]} if doc["u"] else {}
        drive = self.warm(doc["door_cue_ms"] + 500, **cut)
        drive.heater_duty = 0
        while drive.command.duty:
            assert drive.tick(setting(door=1)) == 0
        drive.trip_after(setting(door=1), 5_000)
        top_mc = drive.given.sensor_mc + rise_mk

        def warms(given, drive):
            given.door = 0
            given.sensor_mc = min(drive.loop._reading.mc + 500, top_mc)

        return drive.trip_after(warms, 20_000)[0]

    def test_a_door_shut_on_hot_walls_is_no_weld(self):
        assert self.shut(lim.RISE_OFF_LOOSE_MK) == 0
        assert self.shut(lim.RISE_OFF_LOOSE_MK + 1_000) == codes.RISE_WITHOUT_HEAT


class CurrentWhileOff(Hazard):
    def test_in_an_off_slot(self):
        values = across(-lim.CURRENT_MA, 1)
        trips = [
            self.tripped(codes.CURRENT_IN_OFF_SLOT, setting(current_ma=ma), 1_500) for ma in values
        ]
        crosses(values, trips, -lim.CURRENT_MA, -1)

    def test_trips_in_time(self):
        self.trips_with(codes.CURRENT_IN_OFF_SLOT, setting(current_ma=-4_000), 1_250)


class NoCurrent(Hazard):
    def test_in_the_on_slots(self):
        values = across(lim.CURRENT_MA, 1)
        trips = [self.tripped(codes.NO_CURRENT, setting(current_ma=ma), 6_000) for ma in values]
        crosses(values, trips, lim.CURRENT_MA + 1, -1)

    def test_trips_in_time(self):
        self.trips_with(codes.NO_CURRENT, setting(current_ma=0), 5_250)


class DoorOpen(Hazard):
    def test_heat_goes_at_once_and_comes_back(self):
        drive = self.warm()
        drive.tick(setting(door=1))
        assert (drive.command.duty, drive.command.relay) == (0, 1)
        assert drive.command.note == codes.NOTE_DOOR_OPEN
        drive.tick(setting(door=0))
        assert drive.command.duty > 0

    def test_left_open_ends_the_heating(self):
        def ends(ms):
            drive = self.warm()
            drive.trip_after(setting(door=1), ms)
            return drive.command.note == codes.NOTE_DOOR_LEFT_OPEN

        times = across(lim.DOOR_WAIT_MS, lim.TICK_MS)
        crosses(times, [ends(ms) for ms in times], lim.DOOR_WAIT_MS)

    def test_after_the_cue_a_door_is_nobodys_fault(self):
        drive = self.warm(self.profile()["door_cue_ms"] + 500)
        drive.tick(setting(door=1))
        assert drive.command.note != codes.NOTE_DOOR_OPEN
        assert drive.command.trip == 0


class Clock(Hazard):
    def test_a_late_tick(self):
        def late(step_ms):
            drive = self.warm(2_000)
            drive.now_ms += step_ms - lim.TICK_MS
            return drive.tick()

        for limit, below, above in (
            (lim.LEASE_MS, 0, codes.TICK_LEASE),
            (lim.WATCHDOG_MS, codes.TICK_LEASE, codes.CLOCK_JUMP),
        ):
            values = across(limit, 1)
            trips = [late(step_ms) for step_ms in values]
            assert trips == [above if step_ms > limit else below for step_ms in values]

    def test_backwards(self):
        drive = self.warm(2_000)
        drive.now_ms -= lim.TICK_MS + 1
        assert drive.tick() == codes.CLOCK_JUMP
        assert drive.stays_off()


class RunTooLong(Hazard):
    def test_the_plans_own_limit_and_no_looser_one(self):
        for allowed_ms, told_ms in ((20_000, 20_000), (lim.RUN_MAX_MS + 9_000, lim.RUN_MAX_MS)):
            drive = Drive(self.profile())
            drive.plan.limits[RUN_MAX] = allowed_ms
            drive = _again(drive)
            drive.run_to(1_000)
            drive.loop._last_ms = drive.now_ms = told_ms - 500
            seen = [drive.tick() for _ in range(4)]
            assert seen == [0, 0, 0, codes.RUN_TOO_LONG], drive.said()


class PlanCorrupt(Hazard):
    def test_every_table_that_a_tick_reads_is_watched(self):
        plan = Drive(self.profile()).plan
        read = (plan.t_ms, plan.y_mc, plan.u, plan.gains, plan.stages, plan.waits, plan.limits,
                plan.deviation)  # fmt: skip
        assert {id(table) for table in read} == {id(table) for table in plan.tables}

    def test_one_bit_in_any_table(self):
        for table in range(len(Drive(self.profile()).plan.tables)):
            drive = self.warm(2_000)
            cells = drive.plan.tables[table]
            if len(cells):
                cells[len(cells) - 1] ^= 1 << 9
                trip, _ = drive.trip_after(None, 12_000)
                assert trip == codes.PLAN_CORRUPT, (table, drive.said())


class WrongType(Hazard):
    def test_a_thermocouple_that_shows_a_quarter(self):
        def quarter(given, drive):
            given.sensor_mc = 25_000 + (given.sensor_mc - 25_000) // 4

        self.trips_with(codes.SENSOR_WRONG_TYPE, quarter, 90_000, self.warm(0))


class Residual(Hazard):
    """A heater that does as it likes, in a run whose plan knows the oven."""

    def stuck_at(self, duty, within_ms):
        drive = Drive(modelled()).run_to(STRUCK_MS)
        drive.heater_duty = duty
        return self.trips_with(codes.NOT_AS_EXPECTED, None, within_ms, drive)

    def test_a_weld(self):
        assert self.stuck_at(9_800, 35_000).loop.trip_seen > 0

    def test_a_dead_heater(self):
        assert self.stuck_at(0, 25_000).loop.trip_seen < 0

    def turned(self, trip_mk):
        """A heater a quarter too strong, as on high mains, and from then on a third too weak."""
        doc = modelled()
        far = 1_000_000
        doc["deviation"] = [[*row[:6], trip_mk, trip_mk, far] for row in doc["deviation"]]
        drive = Drive(doc)
        pushes = [0]
        while drive.now_ms < 100_000 and not drive.command.trip:
            given = drive.command.duty
            drive.heater_duty = given * 5 // 4 if drive.now_ms < 60_000 else given * 2 // 3
            drive.tick()
            pushes.append(drive.loop.push_mk)
        return drive, max(pushes), min(pushes)

    def test_a_push_that_turns_within_a_run_trips_where_neither_would(self):
        drive, highest_mk, lowest_mk = self.turned(1_000_000)
        assert drive.command.trip == 0
        trip_mk = (highest_mk - lowest_mk) * 10 // 12
        assert max(highest_mk, -lowest_mk) < trip_mk
        drive = self.turned(trip_mk)[0]
        assert drive.command.trip == codes.NOT_AS_EXPECTED
        assert drive.loop.trip_seen < -drive.loop.trip_expected
        assert drive.loop.trip_expected == trip_mk
        assert drive.stays_off()

    def test_half_a_heater(self):
        self.stuck_at(3_000, 60_000)

    def test_a_sound_oven_pushes_nobody(self):
        drive = Drive(modelled()).run_to(150_000)
        assert abs(drive.loop.push_mk) < 1_000


class NotCooling(Hazard):
    """A weld behind the open door: the reading fell, and then stands where it is."""

    def stood(self, ms, **changes):
        doc = self.profile()
        cut = {"u": [*doc["u"][:-2], 0, 0]} if doc["u"] else {}
        drive = self.warm(doc["door_cue_ms"] + 500, **cut, **changes)
        drive.heater_duty = 0
        while drive.command.duty:
            assert drive.tick() == 0
        fallen_mc = drive.given.sensor_mc - lim.FALLEN_MK
        while drive.given.sensor_mc > fallen_mc:
            assert drive.tick() == 0
        stands = setting(sensor_mc=drive.given.sensor_mc - lim.COOLS_MK)
        return drive, self.tripped(codes.NOT_COOLING, stands, ms, drive)

    def test_how_long_it_may_stand_still(self):
        times = across(lim.COOLS_MS + lim.TICK_MS, lim.TICK_MS)
        crosses(times, [self.stood(ms)[1] for ms in times], lim.COOLS_MS + lim.TICK_MS)

    def test_both_outputs_stay_off(self):
        drive, tripped = self.stood(2 * lim.COOLS_MS)
        assert tripped
        assert drive.stays_off()
        assert drive.loop.trip_expected == lim.COOLS_MS


OF_ANY_RUN = (
    SensorStatus, SensorStale, SensorRange, ColdJunction, SensorReversed, SensorRate, SensorStuck,
    SensorsDisagree, OverTemperature, NoResponse, FallUnderHeat, RiseWithoutHeat, CurrentWhileOff,
    NoCurrent, DoorOpen, Clock, RunTooLong, PlanCorrupt,
)  # fmt: skip
OF_A_KNOWN_SOURCE = (WrongType, Residual, NotCooling)
