from array import array

from heatcore.limits import DUTY_MAX
from heatcore.numbers import Ratio
from heatcore.pid import INTEGRAL_MAX, Pid

SHIFT = 16
ONE = 1 << SHIFT  # one duty per mK


def pid(*rows):
    return Pid(array("i", [cell for row in rows for cell in row]), Ratio())


def row(kp=0, ki=0, kd=0, tf_ms=0, from_ms=0):
    return (from_ms, kp, ki, kd, SHIFT, tf_ms)


def test_on_the_trajectory_the_plans_duty_stands():
    loop = pid(row(kp=ONE, ki=ONE, kd=ONE))
    assert [loop.step(0, 4_321, 0, 0) for _ in range(10)] == [4_321] * 10


def test_proportional():
    loop = pid(row(kp=ONE // 4))
    assert loop.step(0, 5_000, 4_000, 0) == 6_000
    assert loop.step(0, 5_000, -4_000, 0) == 4_000


def test_integral_of_one_kelvin_for_ten_seconds():
    loop = pid(row(ki=ONE // 128))
    duties = [loop.step(0, 1_000, 1_024, 0) for _ in range(40)]
    assert duties[3] == 1_008
    assert duties[-1] == 1_080


def test_derivative_of_a_ramp():
    loop = pid(row(kd=ONE))
    duties = [loop.step(0, 5_000, 0, tick * 250) for tick in range(4)]
    assert duties == [5_000, 4_000, 4_000, 4_000]


def test_the_filter_comes_to_the_same_slope():
    loop = pid(row(kd=ONE, tf_ms=4_000))
    duties = [loop.step(0, 5_000, 0, tick * 250) for tick in range(200)]
    # the first slope is the ramp's times one tick over the filter's time and a tick
    assert duties[1] == 5_000 - 1_000 * 250 // 4_250
    assert duties[-1] == 4_000


def test_a_setpoint_that_leaps_gives_the_derivative_no_kick():
    loop = pid(row(kp=ONE // 4, kd=ONE))
    loop.step(0, 0, 0, 25_000)
    assert loop.step(0, 0, 4_000, 25_000) == 1_000


def test_zero_mean_error_leaves_the_integral_where_it_was():
    loop = pid(row(ki=7))
    duties = [loop.step(0, 5_000, 250 if tick % 2 else -250, 0) for tick in range(4_000)]
    assert min(duties[-2:]) >= 4_999
    assert max(duties[-2:]) <= 5_000


def test_duty_stays_within_its_limits():
    loop = pid(row(kp=ONE))
    assert loop.step(0, 5_000, 1_000_000, 0) == DUTY_MAX
    assert loop.step(0, 5_000, -1_000_000, 0) == 0


def test_no_winding_up_at_either_end():
    for error_mk, end in ((30_000, DUTY_MAX), (-30_000, 0)):
        loop = pid(row(kp=ONE // 2, ki=ONE // 50))
        for _ in range(1_000):
            assert loop.step(0, 5_000, error_mk, 0) == end
        assert loop.step(0, 5_000, 0, 0) == 5_000


def test_the_integral_may_come_back_from_either_end():
    loop = pid(row(ki=ONE // 50))
    for _ in range(400):
        loop.step(0, 5_000, 30_000, 0)
    assert loop.step(0, 5_000, -30_000, 0) < DUTY_MAX


def test_the_integral_has_an_end():
    loop = pid(row(kp=ONE, ki=ONE))
    for _ in range(2_000):
        loop.step(0, 0, 3_000, 0)
        loop.step(0, 0, 3_000 - INTEGRAL_MAX, 0)
    assert -INTEGRAL_MAX <= loop._integral <= INTEGRAL_MAX


def test_new_gains_give_no_bump():
    loop = pid(row(kp=ONE // 4, ki=ONE // 128), row(kp=ONE, ki=ONE // 16, from_ms=10_000))
    before = [loop.step(0, 3_000, 1_024, 0) for _ in range(8)][-1]
    assert before == 3_000 + 256 + 16
    # only what the new integral gain adds in this one tick
    assert loop.step(10_000, 3_000, 1_024, 0) == before + 16


def test_new_gains_take_no_noise_along():
    """What the derivative made of one noisy reading is gone with it, whenever the gains change."""
    loop = pid(row(ki=1, kd=ONE), row(ki=1, kd=ONE // 2, from_ms=10_000))
    loop.step(0, 5_000, 0, 0)
    assert loop.step(0, 5_000, 0, 250) == 4_000
    assert loop.step(10_000, 5_000, 0, 500) == 4_500
    assert loop.step(10_000, 5_000, 0, 500) == 5_000


def test_rows_skipped_at_once():
    loop = pid(row(kp=ONE), row(kp=0, from_ms=1_000), row(kp=ONE // 2, from_ms=2_000))
    loop.step(0, 5_000, 0, 0)
    assert loop.step(9_000, 5_000, 1_000, 0) == 5_500


def test_saturated_products_are_counted():
    ratio = Ratio()
    loop = Pid(array("i", [0, (1 << 20) - 1, 0, 0, 0, 0]), ratio)
    assert loop.step(0, 0, 1_000_000, 0) == DUTY_MAX
    assert ratio.saturated > 0
