from heatcore import codes, inputs
from heatcore.limits import LEASE_MS, SENSOR_HIGH_MC, SENSOR_LOW_MC
from heatcore.reading import Reading


def told(**changes):
    given = inputs.Inputs()
    given.sensor_mc = 100_000
    given.sensor_status = inputs.OK
    given.sensor_seq = 1
    given.sensor_age_ms = 100
    for name in changes:
        setattr(given, name, changes[name])
    return given


def after(given):
    reading = Reading()
    reading.take(250, told())
    given.sensor_seq += 1
    reading.take(250, given)
    return reading


def test_nothing_is_known_at_first():
    assert not Reading().is_fresh()
    assert Reading().mc == inputs.NONE


def test_a_good_reading():
    reading = after(told(sensor_mc=101_000))
    assert (reading.fault, reading.mc, reading.age_ms) == (0, 101_000, 100)
    assert reading.is_fresh()


def test_the_first_reading_is_new_whatever_its_number():
    reading = Reading()
    reading.take(0, told(sensor_seq=0))
    assert reading.fault == 0


def test_every_status_is_its_own_trip_and_keeps_the_last_good_value():
    for status in range(inputs.OPEN, inputs.COLD_JUNCTION + 1):
        reading = after(told(sensor_status=status, sensor_mc=5))
        assert (reading.fault, reading.seen, reading.expected) == (status, status, 0)
        assert (reading.mc, reading.age_ms) == (100_000, 350)
        assert codes.TRIP_NAMES[status].startswith("sensor_")


def test_an_unknown_status_is_no_reading():
    for status in (-1, 8, inputs.NONE):
        assert after(told(sensor_status=status)).fault == codes.SENSOR_STALE


def test_the_range_and_its_ends():
    for mc in (SENSOR_LOW_MC, SENSOR_HIGH_MC):
        assert after(told(sensor_mc=mc)).fault == 0
    for mc, bound in ((SENSOR_LOW_MC - 1, SENSOR_LOW_MC), (SENSOR_HIGH_MC + 1, SENSOR_HIGH_MC)):
        reading = after(told(sensor_mc=mc))
        assert (reading.fault, reading.seen, reading.expected) == (codes.SENSOR_RANGE, mc, bound)
    assert after(told(sensor_mc=inputs.NONE)).fault == codes.SENSOR_RANGE


def test_the_age_and_its_ends():
    for age_ms in (0, LEASE_MS):
        assert after(told(sensor_age_ms=age_ms)).fault == 0
    for age_ms in (-1, LEASE_MS + 1, inputs.NONE):
        reading = after(told(sensor_age_ms=age_ms))
        assert (reading.fault, reading.seen) == (codes.SENSOR_STALE, age_ms)


def test_a_number_that_does_not_move_is_stale_and_ages():
    reading = Reading()
    for _ in range(4):
        reading.take(250, told())
    assert (reading.fault, reading.age_ms) == (codes.SENSOR_STALE, 850)
    assert reading.is_fresh()
    reading.take(250, told())
    assert not reading.is_fresh()
