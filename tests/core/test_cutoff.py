from heatcore.cutoff import COLD_MC, HOT_MC, LEASE_MS, Cutoff


def armed():
    cutoff = Cutoff()
    cutoff.arm(0, 0)
    return cutoff


def test_silence_until_armed():
    cutoff = Cutoff()
    cutoff.renew(0, 25_000, 1)
    assert not cutoff.allows(0)


def test_the_lease_ends_on_its_millisecond():
    assert armed().allows(LEASE_MS)
    assert not armed().allows(LEASE_MS + 1)


def test_new_readings_renew_it():
    cutoff = armed()
    for tick in range(1, 20):
        cutoff.renew(tick * 250, 25_000, tick)
    assert cutoff.allows(19 * 250 + LEASE_MS)


def test_a_reading_that_is_not_new_does_not():
    cutoff = armed()
    for tick in range(1, 5):
        cutoff.renew(tick * 250, 25_000, 0)
    assert not cutoff.allows(1_250)


def test_the_reading_it_was_armed_with_is_not_new():
    cutoff = Cutoff()
    cutoff.arm(0, 7)
    cutoff.renew(500, 25_000, 7)
    assert not cutoff.allows(LEASE_MS + 1)


def test_a_reading_renews_it_once():
    cutoff = armed()
    cutoff.renew(250, 25_000, 1)
    cutoff.renew(500, 25_000, 1)
    assert cutoff.allows(250 + LEASE_MS)
    assert not cutoff.allows(251 + LEASE_MS)


def test_a_reading_beyond_either_end_does_not():
    for mc in (COLD_MC - 1, HOT_MC + 1):
        cutoff = armed()
        cutoff.renew(500, mc, 1)
        assert not cutoff.allows(LEASE_MS + 1)


def test_a_reading_at_either_end_does():
    for mc in (COLD_MC, HOT_MC):
        cutoff = armed()
        cutoff.renew(500, mc, 1)
        assert cutoff.allows(500 + LEASE_MS)


def test_a_lease_that_ran_out_stays_out():
    cutoff = armed()
    cutoff.renew(5_000, 25_000, 1)
    cutoff.renew(5_250, 25_000, 2)
    assert not cutoff.allows(5_250)
    cutoff.arm(6_000, 2)
    assert cutoff.allows(6_000)


def test_a_clock_that_goes_back_ends_it():
    cutoff = armed()
    cutoff.renew(500, 25_000, 1)
    assert not cutoff.allows(499)


def test_drop():
    cutoff = armed()
    cutoff.drop()
    assert not cutoff.allows(0)
