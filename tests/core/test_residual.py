"""The observer on the model that its row carries: what is left over is what was put in."""

from array import array

from heatcore.limits import DRIFT_BEGIN_BLOCKS
from heatcore.numbers import Ratio
from heatcore.residual import BLOCK_TICKS, CLIP_MK, MEMORY, Residual

# e[k] = 1.6 e[k-1] - 0.63 e[k-2] + 0.135 v[k-1] + 0.035 v[k-2], in parts of 2**16.
A1, A2, B1, B2 = 104_858, -41_288, 8_847, 2_294
FAR = 1_000_000


def row(warn=FAR, trip=FAR, count=FAR, from_ms=0, b1=B1):
    return [from_ms, A1, A2, b1, B2, 16, warn, trip, count]


class Bench:
    """A source that is exactly its model, one block a step, pushed by so much a block."""

    def __init__(self, *rows):
        self.residual = Residual(array("i", [cell for one in rows for cell in one]), Ratio())
        self.e = [0, 0]
        self.v = [0, 0]
        self.plan_ms = 0

    def block(self, extra_duty=0, push_mk=0, e_mk=None):
        model = A1 * self.e[0] + A2 * self.e[1] + B1 * self.v[0] + B2 * self.v[1]
        now = (model + (1 << 15) >> 16) + push_mk if e_mk is None else e_mk
        for _ in range(BLOCK_TICKS):
            held = self.residual.holds(self.plan_ms, now, extra_duty)
            self.plan_ms += 250
        self.e, self.v = [now, self.e[0]], [extra_duty, self.v[0]]
        return held


def test_what_the_model_explains_pushes_nobody():
    bench = Bench(row(warn=50, trip=50, count=10))
    for step in range(40):
        assert bench.block(extra_duty=3_000 if step // 7 % 2 else -2_000)
    assert abs(bench.residual.push_mk) < 40
    assert abs(bench.e[0]) > 1_000


def remembered(pushes):
    """Each push as the model carries it on, less a share of it with every block since."""
    kept = 1 - 1 / MEMORY
    answer = [1.0, A1 / (1 << 16)]
    while len(answer) < len(pushes):
        answer.append((A1 * answer[-1] + A2 * answer[-2]) / (1 << 16))
    last = len(pushes) - 1
    return sum(pushes[at] * answer[last - at] * kept ** (last - at) for at in range(last + 1))


def test_a_push_goes_on_as_the_model_carries_it_and_is_forgotten():
    for push_mk in (800, -800):
        bench = Bench(row())
        bench.block()
        bench.block()
        pushes = []
        for number in range(40):
            pushes.append(push_mk if number < 15 else 0)
            bench.block(push_mk=pushes[-1])
            assert abs(bench.residual.push_mk - remembered(pushes)) <= 25
            if number == 14:
                assert abs(bench.residual.push_mk) > 6_000
        assert abs(bench.residual.push_mk) < 40


def test_the_first_two_blocks_only_show_where_the_source_is():
    bench = Bench(row(warn=10, trip=10, count=10))
    assert bench.block(e_mk=40_000)
    assert bench.block(e_mk=41_000)
    assert bench.residual.push_mk == 0


def tripping_block(bench, push_mk):
    bench.block()
    bench.block()
    for number in range(1, 60):
        if not bench.block(push_mk=push_mk):
            return number
    return 0


def test_trips_at_once_beyond_the_limit_on_either_side():
    for push_mk in (2_000, -2_000):
        bench = Bench(row(trip=1_999))
        assert tripping_block(bench, push_mk) == 1
        assert (bench.residual.seen, bench.residual.expected) == (push_mk, 1_999)
    for push_mk in (2_000, -2_000):
        bench = Bench(row(trip=2_000))
        assert tripping_block(bench, push_mk) == 2


def test_counts_up_what_is_beyond_the_warning():
    settled_mk = int(remembered([800] * 80))
    warn_mk = settled_mk - 400
    first = tripping_block(Bench(row(warn=warn_mk, count=4_000)), 800)
    beyond = [max(0, remembered([800] * n) - warn_mk) * 2 for n in range(1, 60)]
    assert abs(first - [sum(beyond[:n]) > 4_000 for n in range(59)].index(True)) <= 1
    bench = Bench(row(warn=warn_mk, count=4_000))
    tripping_block(bench, 800)
    assert bench.residual.expected == warn_mk
    assert tripping_block(Bench(row(warn=settled_mk + 60, count=4_000)), 800) == 0
    # the memory's division floors: downwards it may take a block longer
    assert tripping_block(Bench(row(warn=warn_mk, count=4_000)), -800) in (first, first + 1)


def test_the_count_runs_down_again_and_never_below_nought():
    bench = Bench(row(warn=100, count=1_000))
    for _ in range(30):
        bench.block()
    assert bench.residual.counted_mk_s == 0
    bench.block(push_mk=400)
    counted = bench.residual.counted_mk_s
    assert 590 <= counted <= 610
    for _ in range(60):
        bench.block()
    assert bench.residual.counted_mk_s == 0


def test_a_row_holds_from_its_own_time_on():
    bench = Bench(row(trip=1_000), row(trip=5_000, from_ms=21_750), row(trip=9_000, from_ms=40_000))
    bench.block()
    bench.block()
    bench.block(push_mk=500)
    assert bench.residual.expected == 1_000
    while bench.plan_ms < 20_000:
        bench.block()
    assert bench.residual.expected == 1_000
    # this block's last tick is the second row's first
    bench.block()
    assert bench.residual.expected == 5_000
    while bench.plan_ms < 44_000:
        bench.block()
    assert bench.residual.expected == 9_000


def test_counts_to_its_limit_and_trips_beyond():
    for count, held in ((1_600, True), (1_599, False)):
        bench = Bench(row(warn=200, count=count))
        bench.block()
        bench.block()
        assert bench.block(push_mk=1_000) is held


def test_a_restart_forgets():
    bench = Bench(row(warn=100))
    for _ in range(4):
        bench.block(push_mk=900)
    bench.residual.holds(bench.plan_ms, 77_000, 0)
    bench.residual.restart()
    assert (bench.residual.push_mk, bench.residual.counted_mk_s) == (0, 0)
    bench.e, bench.v = [50_000, 50_000], [0, 0]
    assert bench.block(e_mk=50_000)
    assert bench.block(e_mk=50_000)
    assert bench.residual.push_mk == 0
    # nor of the push before the last
    bench.block()
    assert abs(bench.residual.push_mk) <= 1


def test_a_restart_begins_a_whole_block():
    residual = Residual(array("i", row()), Ratio())
    for _ in range(3):
        residual.holds(0, 8_000, 0)
    residual.restart()
    for tick in range(3 * BLOCK_TICKS):
        assert residual.push_mk == 0
        residual.holds(tick * 250, 800 * (tick == 23), 0)
    assert residual.push_mk == 100


def test_a_block_is_the_mean_of_its_ticks():
    residual = Residual(array("i", row()), Ratio())
    for tick in range(3 * BLOCK_TICKS):
        residual.holds(tick * 250, 8_000 * (tick == 20), 0)
    assert residual.push_mk == 1_000


def test_deviations_beyond_all_measure_are_cut():
    for e_mk in (CLIP_MK, 1 << 29):
        residual = Residual(array("i", row()), Ratio())
        for tick in range(3 * BLOCK_TICKS):
            residual.holds(tick * 250, e_mk if tick >= 16 else 0, 0)
        assert residual.push_mk == CLIP_MK
    residual = Residual(array("i", row()), Ratio())
    for tick in range(3 * BLOCK_TICKS):
        residual.holds(tick * 250, -(1 << 29) if tick >= 16 else 0, 0)
    assert residual.push_mk == -CLIP_MK


def test_without_rows_nothing_is_judged():
    residual = Residual(array("i", []), Ratio())
    for tick in range(100):
        assert residual.holds(tick * 250, 200_000, 9_800)


def test_after_a_gap_nothing_has_moved_within_the_run():
    bench = Bench(row(trip=8_000))
    for number in range(DRIFT_BEGIN_BLOCKS + 20):
        bench.block(push_mk=0 if number < DRIFT_BEGIN_BLOCKS + 8 else 300)
    assert bench.residual.drift.mille > 50
    bench.residual.restart()
    assert bench.residual.drift.mille == 0
