from heatcore.numbers import BOUND, Ratio, clamp


def test_a_product_that_would_overflow_is_exact():
    ratio = Ratio()
    assert ratio.of(500_000, 10_319, 25_000) == 206_380
    assert ratio.of(-500_000, 10_319, 25_000) == -206_380
    assert ratio.of(524_287, 1_048_575, 524_287) == 1_048_575
    assert ratio.saturated == 0


def test_floor_and_nearest():
    ratio = Ratio()
    assert (ratio.of(7, 1, 2), ratio.rest) == (3, 1)
    assert (ratio.of(-7, 1, 2), ratio.rest) == (-4, 1)
    assert ratio.nearest(7, 1, 4) == 2
    assert ratio.nearest(-7, 1, 4) == -2


def test_the_carried_remainder_loses_nothing():
    ratio = Ratio()
    total = rest = 0
    for _ in range(1000):
        total += ratio.of(7, 3, 1000, rest)
        rest = ratio.rest
    assert (total, rest) == (21, 0)


def test_zero_mean_input_leaves_a_sum_where_it_was():
    ratio = Ratio()
    total = rest = 0
    for i in range(2000):
        total += ratio.of(1 if i % 2 else -1, 3, 1000, rest)
        rest = ratio.rest
    assert total == 0


def test_long_times_are_scaled_first():
    ratio = Ratio()
    assert ratio.nearest(200_000, 3_000_000, 3_000_000) == 200_000
    assert abs(ratio.nearest(200_000, 1_234_567, 3_000_000) - 82_304) <= 2


def test_saturation_stops_at_the_bound_and_is_counted():
    ratio = Ratio()
    assert ratio.of(1 << 29, 1_000_000, 1) == BOUND
    assert ratio.of(-(1 << 29), 1_000_000, 1) == -BOUND
    assert ratio.of(BOUND, 1, 1) == BOUND
    assert ratio.saturated == 2
    assert ratio.of(BOUND + 1, 1, 1) == BOUND
    assert ratio.saturated == 3


def test_nothing_times_anything_is_nothing():
    ratio = Ratio()
    assert ratio.of(1 << 29, 0, 1) == 0
    assert ratio.of(0, 1_000_000, 7) == 0
    assert ratio.saturated == 0


def test_clamp():
    assert [clamp(x, -2, 3) for x in (-3, -2, 0, 3, 4)] == [-2, -2, 0, 3, 3]
