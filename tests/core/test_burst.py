from heatcore.burst import FULL_DUTY, Burst


def slots(duty, count):
    burst = Burst()
    return [burst.slot(duty) for _ in range(count)]


def test_the_share_of_slots_is_the_duty():
    for duty in (1, 137, 2_500, 5_000, 9_800, 10_000):
        assert sum(slots(duty, FULL_DUTY)) == duty


def test_half_power_alternates():
    assert slots(5_000, 6) == [0, 1, 0, 1, 0, 1]


def test_an_off_slot_in_every_second_at_the_highest_duty():
    row = slots(9_800, 1_000)
    assert all(0 in row[i : i + 50] for i in range(0, 1_000, 50))


def test_nothing_stays_owed_after_off():
    burst = Burst()
    assert burst.slot(9_999) == 0
    assert burst.slot(0) == 0
    assert burst.slot(5_000) == 0


def test_what_is_no_duty_is_off():
    assert slots(-1, 3) == [0, 0, 0]
    assert slots(10_001, 3) == [0, 0, 0]
