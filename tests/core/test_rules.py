"""Each rule on its own: what it must bear, and what it must not."""

from core.plans import document, make, open_loop, plain
from heatcore import inputs
from heatcore.door import Door
from heatcore.fall import Fall
from heatcore.heat_rules import (
    Cooling,
    FallUnderHeat,
    NoCurrent,
    OffSlot,
    Response,
    RiseWithoutHeat,
    coast_mk,
    is_cooled_by_door,
    is_slow,
    response_ms,
    rise_allowed_mk,
)
from heatcore.limits import (
    COOLS_ABOVE_MC,
    COOLS_AFTER_MS,
    COOLS_FALL_MK,
    COOLS_MK,
    COOLS_MS,
    COOLS_OPEN_MS,
    DISAGREE_MK,
    DOOR_QUIET_MS,
    DOOR_WAIT_MS,
    FALL_MAX_MK_S,
    FALLEN_MK,
    HEATED_FALL_MK,
    HEATED_MS,
    RESPONSE_KNOWN_MS,
    RESPONSE_MS,
    RISE_ENDED_MK,
    RISE_FALLEN_MK,
    RISE_NOISE_MK,
    RISE_OFF_LOOSE_MK,
    RISE_OFF_MK,
    STUCK_MS,
)
from heatcore.reading import Reading
from heatcore.scene import Scene
from heatcore.sensor_rules import Disagree, Rate, Reversed, Stuck, WrongType


class Bench:
    """One rule, told one reading after another, 250 ms apart."""

    def __init__(self, ask):
        self.ask = ask  # ask(bench) -> whether the rule holds
        self.reading = Reading()
        self.reading.fault = 0
        self.inputs = inputs.Inputs()
        self.inputs.cold_junction_mc = 25_000
        self.scene = Scene()

    def holds(self, mc, **scene):
        self.reading.mc = mc
        for name in scene:
            setattr(self.scene, name, scene[name])
        return self.ask(self)

    def ticks_to_trip(self, mc_at, ticks=400, **scene):
        for tick in range(1, ticks + 1):
            if not self.holds(mc_at(tick), **scene):
                return tick
        return 0


def rising(mk_s, from_mc=100_000):
    return lambda tick: from_mc + mk_s * tick // 4


def rate_bench(rise_max_mk_s=2_000):
    rule = Rate(rise_max_mk_s)
    bench = Bench(lambda b: rule.holds(b.reading, b.scene, 250))
    bench.rule = rule
    return bench


def test_rate_bears_the_plans_fastest_rise_and_no_more():
    most = 2_000 + RISE_NOISE_MK
    assert rate_bench().ticks_to_trip(rising(most)) == 0
    assert rate_bench().ticks_to_trip(rising(most + 8)) == 7
    assert rate_bench().ticks_to_trip(rising(-FALL_MAX_MK_S)) == 0
    assert rate_bench().ticks_to_trip(rising(-FALL_MAX_MK_S - 8)) == 7


def test_rate_says_what_it_saw():
    bench = rate_bench()
    bench.ticks_to_trip(rising(8_000))
    assert (bench.rule.seen, bench.rule.expected) == (8_000, 3_500)
    bench = rate_bench()
    bench.ticks_to_trip(rising(-8_000))
    assert (bench.rule.seen, bench.rule.expected) == (-8_000, -FALL_MAX_MK_S)


def test_a_reading_that_stands_still_is_held_to_the_rise():
    bench = rate_bench()
    bench.ticks_to_trip(rising(0), 20)
    assert (bench.rule.seen, bench.rule.expected) == (0, 3_500)


def test_rate_knows_nothing_after_a_gap_and_bears_a_spike():
    bench = rate_bench()
    bench.ticks_to_trip(rising(0), 20)
    bench.reading.fault = 1
    bench.holds(100_000)
    bench.reading.fault = 0
    assert bench.ticks_to_trip(rising(0, 150_000), 40) == 0
    spike = [100_000] * 20 + [180_000] + [100_000] * 20
    assert rate_bench().ticks_to_trip(lambda tick: spike[tick - 1], 40) == 0


def test_rate_is_judged_without_a_door_and_falls_are_free_in_ramp_down():
    assert rate_bench().ticks_to_trip(rising(-30_000), quiet=True) == 0
    assert rate_bench().ticks_to_trip(rising(-30_000), 40, falling=True) == 0
    assert rate_bench().ticks_to_trip(rising(30_000), 40, falling=True) == 7


def test_a_bead_that_falls_off_is_noticed_within_three_seconds():
    """From 40 K above the room, behind a bead of four seconds."""
    bench = rate_bench()
    bench.ticks_to_trip(rising(0, 65_000), 20)
    left = [40_000]
    while len(left) < 40:
        left.append(left[-1] - left[-1] // 16)
    assert 0 < bench.ticks_to_trip(lambda tick: 25_000 + left[tick], 30) <= 12


def reversed_bench(junction_mc=25_000):
    rule = Reversed()
    bench = Bench(lambda b: rule.holds(b.reading, b.inputs, b.scene, 250))
    bench.rule = rule
    bench.inputs.cold_junction_mc = junction_mc
    return bench


def test_reversed_leads_fall_below_where_they_began():
    for junction_mc in (25_000, inputs.NONE):
        bench = reversed_bench(junction_mc)
        bench.holds(25_000)
        assert bench.ticks_to_trip(rising(0, 15_000), 40) == 0
        assert bench.ticks_to_trip(rising(0, 14_999), 40) == 9
        assert (bench.rule.seen, bench.rule.expected) == (14_999, 15_000)


def test_a_warm_start_may_cool_down_to_the_room():
    bench = reversed_bench()
    bench.holds(60_000)
    assert bench.ticks_to_trip(rising(0, 15_000)) == 0
    assert bench.ticks_to_trip(rising(0, 14_000), quiet=True) == 0
    assert bench.ticks_to_trip(rising(0, 14_000), quiet=False) == 9


def wrong_bench(knows=True):
    rule = WrongType(knows)
    bench = Bench(lambda b: rule.holds(b.reading, b.scene, 250))
    bench.rule = rule
    bench.holds(25_000, y_mc=25_000)
    return bench


def test_another_thermocouple_gives_another_share_of_the_rise():
    for mc, ticks in ((52_000, 0), (51_500, 9), (121_000, 0), (121_800, 9)):
        bench = wrong_bench()
        assert bench.ticks_to_trip(rising(0, mc), 100, y_mc=85_000) == ticks
    assert (bench.rule.seen, bench.rule.expected) == (161, 160)


def test_a_low_type_is_told_with_the_low_limit():
    bench = wrong_bench()
    bench.ticks_to_trip(rising(0, 40_000), 20, y_mc=85_000)
    assert (bench.rule.seen, bench.rule.expected) == (25, 45)
    # 45 parts of a hundred are still believed; 50 K and an answer of 3 K are enough to tell
    bench = wrong_bench()
    assert bench.ticks_to_trip(rising(0, 47_500), 20, y_mc=75_000) == 0
    assert bench.rule.expected == 160
    assert wrong_bench().ticks_to_trip(rising(0, 28_000), 20, y_mc=75_000) == 9


def test_no_type_or_reversal_is_told_of_a_lost_reading():
    for bench in (wrong_bench(), reversed_bench()):
        bench.holds(25_000, y_mc=25_000)
        bench.reading.fault = 1
        assert bench.ticks_to_trip(rising(0, 5_000), 40, y_mc=85_000) == 0


def test_no_type_is_told_early_or_without_an_answer_or_a_model():
    assert wrong_bench().ticks_to_trip(rising(0, 35_000), y_mc=74_999) == 0
    assert wrong_bench().ticks_to_trip(rising(0, 27_999), y_mc=150_000) == 0
    assert wrong_bench(False).ticks_to_trip(rising(0, 35_000), y_mc=150_000) == 0
    assert wrong_bench().ticks_to_trip(rising(0, 35_000), y_mc=150_000, quiet=True) == 0


def stuck_bench():
    rule = Stuck()
    bench = Bench(lambda b: rule.holds(b.reading, b.inputs, b.scene, 250))
    bench.rule = rule
    bench.holds(25_000)
    return bench


def test_a_word_that_stays_while_the_duty_moves():
    bench = stuck_bench()
    assert bench.ticks_to_trip(rising(0), duty=5_000) == 0
    assert bench.ticks_to_trip(rising(0), duty=7_999) == 0
    assert bench.ticks_to_trip(rising(0), duty=8_000) == 1
    bench = stuck_bench()
    bench.holds(100_000, duty=0)
    assert bench.ticks_to_trip(rising(0), duty=3_000) == STUCK_MS // 250
    assert bench.rule.seen == STUCK_MS


def test_a_duty_that_sinks_counts_as_one_that_climbs():
    bench = stuck_bench()
    bench.holds(100_000, duty=9_000)
    assert bench.ticks_to_trip(rising(0), duty=6_000) == STUCK_MS // 250


def test_each_new_word_begins_anew():
    bench = stuck_bench()
    bench.holds(100_000, duty=0)
    bench.ticks_to_trip(rising(0), 39, duty=3_000)
    bench.holds(100_250, duty=0)
    assert bench.ticks_to_trip(rising(0, 100_250), duty=3_000) == STUCK_MS // 250


def test_a_lost_reading_is_not_stuck_and_an_answer_of_three_kelvin_is_one():
    bench = stuck_bench()
    bench.holds(100_000, duty=0)
    bench.reading.fault = 1
    assert bench.ticks_to_trip(rising(0), duty=9_000) == 0
    bench = stuck_bench()
    bench.holds(28_000, duty=0)
    assert bench.ticks_to_trip(rising(0, 28_000), duty=3_000) == STUCK_MS // 250


def test_steadiness_alone_and_a_junction_that_lives_are_no_fault():
    assert stuck_bench().ticks_to_trip(rising(0), duty=5_000) == 0
    bench = stuck_bench()
    for tick in range(400):
        bench.inputs.cold_junction_mc = 25_000 + 63 * (tick % 2)
        assert bench.holds(100_000, duty=9_000 * (tick // 4 % 2))


def test_before_its_first_answer_a_source_may_stand_still():
    bench = stuck_bench()
    assert bench.ticks_to_trip(rising(0, 27_999), duty=0) == 0
    assert bench.ticks_to_trip(rising(0, 27_999), duty=9_000) == 0


def disagree_bench(second_mc, status=inputs.OK):
    rule = Disagree()
    bench = Bench(lambda b: rule.holds(b.reading, b.inputs, b.scene, 250))
    bench.inputs.second_mc, bench.inputs.second_status = second_mc, status
    return bench


def test_two_sensors_must_agree_where_a_second_one_is_well():
    far = 100_000 - DISAGREE_MK
    assert disagree_bench(far).ticks_to_trip(rising(0)) == 0
    assert disagree_bench(far - 1).ticks_to_trip(rising(0)) == 21
    assert disagree_bench(100_001 + DISAGREE_MK).ticks_to_trip(rising(0)) == 21
    assert disagree_bench(far - 1).ticks_to_trip(rising(0), quiet=True) == 0
    assert disagree_bench(-50_000, inputs.OPEN).ticks_to_trip(rising(0)) == 0
    assert disagree_bench(inputs.NONE).ticks_to_trip(rising(0)) == 0


def response_bench(doc=None):
    rule = Response(make(doc or document()))
    bench = Bench(lambda b: rule.holds(b.reading, b.scene, 250))
    bench.rule = rule
    return bench


def test_heat_must_show_within_a_minute():
    # 4 K within 60 s is 67 mK a second
    assert response_bench().ticks_to_trip(rising(72), 2_000, duty=6_000) == 0
    assert response_bench().ticks_to_trip(rising(60), 2_000, duty=6_000) == 241
    assert response_bench().ticks_to_trip(rising(60), 2_000, duty=5_000) == 241
    assert response_bench().ticks_to_trip(rising(60), 2_000, duty=4_999) == 0
    assert response_bench().ticks_to_trip(rising(0), 2_000, duty=6_000, y_mc=103_000) == 0
    assert response_bench().ticks_to_trip(rising(0), 2_000, duty=6_000, y_mc=103_001) == 241
    assert response_bench().ticks_to_trip(rising(0), 2_000, duty=6_000, quiet=True) == 0


def slow(at_ms):
    """A plan whose source shows its first 4 K at this knot, and not before."""
    return document(
        waits=[],
        t_ms=[0, at_ms - 1, at_ms, 160_000, 180_000, 260_000],
        y_mc=[25_000, 28_999, 29_000, 245_000, 245_000, 120_000],
    )


def straight(at_ms, rise_mk):
    """The first knot after the start lies so much higher."""
    return document(
        waits=[],
        t_ms=[0, at_ms, 150_000, 160_000, 180_000, 260_000],
        y_mc=[25_000, 25_000 + rise_mk, 200_000, 245_000, 245_000, 120_000],
    )


def test_how_soon_heat_must_show_comes_from_the_plan():
    # 125 K in the first minute: 4 K within two seconds
    assert response_ms(make(document())) == RESPONSE_KNOWN_MS
    assert response_ms(make(slow(30_000))) == RESPONSE_KNOWN_MS
    assert response_ms(make(slow(70_000))) == 105_000
    assert response_ms(make(slow(110_000))) == RESPONSE_MS
    assert response_ms(make(straight(100_000, 8_000))) == 75_000
    # between the knots never sooner than on their straight line
    assert response_ms(make(straight(100_000, 7_000))) == RESPONSE_MS
    never = document(waits=[], y_mc=[25_000] * 6)
    assert response_ms(make(never)) == RESPONSE_MS
    assert response_ms(make(plain())) == response_ms(make(open_loop())) == RESPONSE_MS


def test_a_slow_source_left_shut_may_rise_further_than_its_plan():
    for doc, beyond_mk in ((document(), RISE_ENDED_MK), (slow(70_000), RISE_OFF_LOOSE_MK)):
        doc["u"] = [6_000, 5_000, 4_300, 8_500, 0, 0]
        doc["y_mc"] = doc["y_mc"][:4] + [246_000, 120_000]
        allowed_mk = beyond_mk + 1_000
        assert is_slow(make(doc)) is (beyond_mk == RISE_OFF_LOOSE_MK)
        bench = rise_bench(doc)
        bench.holds(150_000, duty=8_000, falling=True)
        assert bench.ticks_to_trip(rising(0, 150_000 + allowed_mk), 40, duty=0) == 0
        assert bench.ticks_to_trip(rising(0, 150_001 + allowed_mk), 40) == 5


def test_a_slow_source_is_given_its_time_and_no_more():
    # 3.6 K in the first minute, as sand shows the board in it; 4 K come later
    assert response_bench(slow(70_000)).ticks_to_trip(rising(60), 2_000, duty=6_000) == 0
    assert response_bench(slow(70_000)).ticks_to_trip(rising(0), 2_000, duty=6_000) == 421


def test_a_response_counts_from_the_lowest_reading_and_says_how_much_it_was():
    bench = response_bench()
    fallen = [100_000] + [90_000] * 100 + [93_999] * 138 + [94_000] * 200
    assert bench.ticks_to_trip(lambda tick: fallen[tick - 1], 439, duty=9_000) == 0
    bench = response_bench()
    fallen = [100_000] + [90_000] * 100 + [93_999] * 300
    assert bench.ticks_to_trip(lambda tick: fallen[tick - 1], 400, duty=9_000) == 241
    assert bench.rule.seen == 3_999


def test_a_gap_is_no_response_and_no_excuse():
    bench = response_bench()
    assert bench.ticks_to_trip(rising(0), 200, duty=9_000) == 0
    bench.reading.fault = 1
    assert bench.ticks_to_trip(rising(0), 4) == 0
    bench.reading.fault = 0
    assert 0 < bench.ticks_to_trip(rising(0), 60) < 60


HEATED_TICKS = HEATED_MS // 250


def heated_bench(ticks=HEATED_TICKS):
    """More than half power for so long, at 150 degrees."""
    rule = FallUnderHeat()
    bench = Bench(lambda b: rule.holds(b.reading, b.scene, 250))
    bench.rule = rule
    assert bench.ticks_to_trip(rising(0, 150_000), ticks, duty=5_000) == 0
    return bench


def test_under_heat_no_reading_falls_far():
    for fall_mk, ticks in ((HEATED_FALL_MK, 0), (HEATED_FALL_MK + 1, 9)):
        bench = heated_bench()
        bench.holds(152_000)
        assert bench.ticks_to_trip(rising(0, 152_000 - fall_mk), 40) == ticks
    assert (bench.rule.seen, bench.rule.expected) == (-HEATED_FALL_MK - 1, -HEATED_FALL_MK)


def test_heat_that_has_just_come_may_find_a_reading_falling():
    for ticks, trips_in in ((HEATED_TICKS - 3, 0), (HEATED_TICKS - 2, 9)):
        bench = heated_bench(ticks)
        bench.holds(150_000)
        assert bench.ticks_to_trip(rising(0, 100_000), 40) == trips_in


def test_a_fall_with_little_heat_or_behind_a_door_is_none():
    for scene in ({"duty": 4_999}, {"quiet": True}):
        bench = heated_bench()
        assert bench.ticks_to_trip(rising(0, 100_000), 40, **scene) == 0
        # and what came before it is forgotten
        bench.scene.quiet = False
        assert bench.ticks_to_trip(rising(0, 100_000), HEATED_TICKS, duty=5_000) == 0
        assert bench.ticks_to_trip(rising(0, 100_000 - HEATED_FALL_MK), 40) == 0
        assert bench.ticks_to_trip(rising(0, 99_999 - HEATED_FALL_MK), 40) == 9


def test_a_reading_that_is_lost_has_not_fallen():
    bench = heated_bench()
    bench.reading.fault = 1
    assert bench.ticks_to_trip(rising(0, 25_000), 40) == 0
    bench.reading.fault = 0
    assert bench.ticks_to_trip(rising(0, 25_000), 40) == 9


def rise_bench(doc):
    fall = Fall()
    rule = RiseWithoutHeat(make(doc), fall)
    return off_bench(fall, lambda b: rule.holds(b.reading, b.scene, 250))


def off_bench(fall, ask):
    """A rule that is told of the fall since heat went off."""

    def follow_and_ask(bench):
        fall.follow(bench.reading, bench.scene, 250)
        return ask(bench)

    return Bench(follow_and_ask)


def test_coast_comes_from_the_plan():
    coasting = document(
        waits=[], u=[6_000, 5_000, 4_300, 0, 0, 0],
        y_mc=[25_000, 150_000, 180_000, 240_000, 246_000, 120_000],
    )  # fmt: skip
    assert coast_mk(make(document())) == 0
    assert coast_mk(make(coasting)) == 66_000
    assert rise_allowed_mk(make(document()), 7_000) == 7_000
    assert rise_allowed_mk(make(coasting), 7_000) == 73_000
    assert rise_allowed_mk(make(plain()), 7_000) == RISE_OFF_LOOSE_MK
    assert coast_mk(make(document(waits=[], u=[0] * 6))) == 220_000
    assert coast_mk(make(document(waits=[], u=[100] + [0] * 5))) == 220_000


def test_a_lost_reading_is_no_rise():
    bench = rise_bench(document())
    bench.holds(150_000, duty=0)
    bench.reading.fault = 1
    assert bench.ticks_to_trip(rising(0, 400_000), 40) == 0


def test_a_reading_that_is_lost_has_neither_fallen_nor_risen():
    bench = rise_bench(document())
    bench.holds(150_000, duty=8_000, falling=True)
    bench.reading.fault = 1
    assert bench.ticks_to_trip(rising(0, 25_000), 40, duty=0) == 0
    bench.reading.fault = 0
    assert bench.ticks_to_trip(rising(0, 150_000 + RISE_ENDED_MK), 40) == 0


def test_no_rise_without_heat():
    for doc, allowed in ((document(), RISE_OFF_MK), (plain(), RISE_OFF_LOOSE_MK)):
        bench = rise_bench(doc)
        bench.holds(150_000, duty=8_000)
        assert bench.ticks_to_trip(rising(0, 150_000 + allowed), 40, duty=499) == 0
        assert bench.ticks_to_trip(rising(0, 150_001 + allowed), 40) == 5


def test_in_ramp_down_the_plans_own_coast_is_known_better():
    for doc, allowed in ((document(), RISE_ENDED_MK), (plain(), RISE_OFF_LOOSE_MK)):
        bench = rise_bench(doc)
        bench.holds(150_000, duty=8_000, falling=True)
        assert bench.ticks_to_trip(rising(0, 150_000 + allowed), 40, duty=0) == 0
        assert bench.ticks_to_trip(rising(0, 150_001 + allowed), 40) == 5


def fallen_bench(doc, by_mk=FALLEN_MK):
    """Heat went off at 150 degrees in ramp_down, and the reading fell by so much."""
    bench = rise_bench(doc)
    bench.holds(150_000, duty=8_000, falling=True)
    bench.holds(152_000, duty=0)
    bench.holds(152_000 - by_mk)
    return bench


def test_what_has_fallen_in_ramp_down_does_not_rise_again():
    for doc, allowed in ((document(), RISE_FALLEN_MK), (plain(), RISE_OFF_LOOSE_MK)):
        bench = fallen_bench(doc)
        lowest_mc = 152_000 - FALLEN_MK
        assert bench.ticks_to_trip(rising(0, lowest_mc + allowed), 40) == 0
        assert bench.ticks_to_trip(rising(0, lowest_mc + 1 + allowed), 40) == 5
    bench = fallen_bench(document(), FALLEN_MK - 1)
    assert bench.ticks_to_trip(rising(0, 150_000 + RISE_ENDED_MK - FALLEN_MK), 40) == 0
    # a fall from before the heat went off last is none
    bench = fallen_bench(document())
    bench.holds(149_000, duty=500)
    assert bench.ticks_to_trip(rising(0, 149_000 + RISE_ENDED_MK), 40, duty=0) == 0


def test_a_coast_before_the_fall_is_no_rise_after_it():
    bench = rise_bench(document())
    bench.holds(150_000, duty=8_000, falling=True)
    highest_mc = 150_000 + RISE_ENDED_MK - 500
    bench.holds(highest_mc, duty=0)
    bench.holds(highest_mc - FALLEN_MK)
    assert bench.ticks_to_trip(rising(0, highest_mc - FALLEN_MK + RISE_FALLEN_MK), 40) == 0


def test_a_door_shut_on_hot_walls_may_warm_the_reading_for_a_minute():
    bench = fallen_bench(document())
    bench.holds(120_000, shutting=True)
    ticks = DOOR_QUIET_MS // 250
    assert bench.ticks_to_trip(rising(0, 150_000), ticks - 1, shutting=False) == 0
    assert bench.ticks_to_trip(rising(0, 150_000), 40) == 5
    bench = fallen_bench(document())
    bench.holds(120_000, shutting=True)
    assert bench.ticks_to_trip(rising(0, 150_001), 40, shutting=False) == 5


STILL_TICKS = COOLS_MS // 250 + 1
OPEN_STILL_TICKS = COOLS_OPEN_MS // 250 + 1
LOWEST_MC = 150_000 - FALLEN_MK


def cooling_bench(doc, by_mk=FALLEN_MK, from_mc=150_000):
    """Heat went off in ramp_down, and the reading fell by so much."""
    fall = Fall()
    rule = Cooling(make(doc), fall)
    bench = off_bench(fall, lambda b: rule.holds(b.reading, b.inputs, b.scene, 250))
    bench.rule = rule
    bench.holds(from_mc, duty=8_000, falling=True)
    bench.holds(from_mc - by_mk, duty=0)
    return bench


def test_what_has_begun_to_fall_goes_on_falling():
    bench = cooling_bench(document())
    assert bench.ticks_to_trip(rising(0, LOWEST_MC)) == STILL_TICKS
    assert (bench.rule.seen, bench.rule.expected) == (COOLS_MS + 250, COOLS_MS)
    bench = cooling_bench(document())
    steps = [LOWEST_MC - COOLS_MK * (tick // (STILL_TICKS - 1)) for tick in range(800)]
    assert bench.ticks_to_trip(lambda tick: steps[tick - 1], 400) == 0
    bench = cooling_bench(document())
    assert bench.ticks_to_trip(rising(0, LOWEST_MC - COOLS_MK + 1)) == STILL_TICKS
    # what has not begun to fall may stand still
    assert cooling_bench(document(), FALLEN_MK - 1).ticks_to_trip(rising(0, LOWEST_MC + 1)) == 0


def test_behind_a_door_that_is_open_it_falls_sooner_and_begins_to_by_itself():
    bench = cooling_bench(document())
    bench.inputs.door = 1
    assert bench.ticks_to_trip(rising(0, LOWEST_MC)) == OPEN_STILL_TICKS
    assert (bench.rule.seen, bench.rule.expected) == (COOLS_OPEN_MS + 250, COOLS_OPEN_MS)
    bench = cooling_bench(document(), 0)
    bench.inputs.door = 1
    coasting = COOLS_AFTER_MS // 250 - 1
    assert bench.ticks_to_trip(rising(0, 150_000)) == coasting + OPEN_STILL_TICKS
    # shut in between, it coasts anew
    bench = cooling_bench(document(), 0)
    bench.inputs.door = 1
    assert bench.ticks_to_trip(rising(0, 150_000), coasting) == 0
    bench.inputs.door = 0
    assert bench.ticks_to_trip(rising(0, 150_000), 1) == 0
    bench.inputs.door = 1
    assert bench.ticks_to_trip(rising(0, 150_000)) == coasting + OPEN_STILL_TICKS


def test_where_a_standstill_is_no_fault():
    for doc in (plain(), slow(70_000)):
        assert cooling_bench(doc).ticks_to_trip(rising(0, LOWEST_MC)) == 0
    assert cooling_bench(document()).ticks_to_trip(rising(0, LOWEST_MC), falling=False) == 0
    # a reading that is lost says nothing, and takes nothing back
    bench = cooling_bench(document())
    assert bench.ticks_to_trip(rising(0, LOWEST_MC), STILL_TICKS - 1) == 0
    bench.reading.fault = 1
    assert bench.ticks_to_trip(rising(0, LOWEST_MC), 40) == 0
    bench.reading.fault = 0
    assert bench.ticks_to_trip(rising(0, LOWEST_MC)) == 1
    # heat again, behind an open door too, and the fall from before it is none
    for door in (0, 1):
        bench = cooling_bench(document())
        bench.inputs.door = door
        bench.holds(LOWEST_MC, duty=500)
        assert bench.ticks_to_trip(rising(0, LOWEST_MC)) == 0


def test_whether_the_door_cools_a_source_stands_in_its_plan():
    doc = document()
    for cue_ms, at in ((doc["t_ms"][-2], -2), (doc["t_ms"][-2] + 1, -1), (doc["t_ms"][-1], -1)):
        doc["door_cue_ms"] = cue_ms
        for fall_mk in (COOLS_FALL_MK - 1, COOLS_FALL_MK):
            doc["y_mc"] = doc["y_mc"][:-2] + [150_000, 150_000 - fall_mk]
            wanted = at == -2 and fall_mk == COOLS_FALL_MK
            assert is_cooled_by_door(make(doc)) is wanted, (cue_ms, fall_mk)
    doc["door_cue_ms"] = -1
    assert not is_cooled_by_door(make(doc))
    # a cue at the very start, and a source too slow for it
    for fall_mk in (COOLS_FALL_MK - 1, COOLS_FALL_MK):
        doc["y_mc"] = [100_000] + 4 * [200_000] + [100_000 - fall_mk]
        doc["door_cue_ms"] = 0
        assert is_cooled_by_door(make(doc)) is (fall_mk == COOLS_FALL_MK)
    assert not is_cooled_by_door(make(slow(70_000)))
    assert not is_cooled_by_door(make(plain()))


def test_towards_the_room_all_falls_are_slow():
    for lowest_mc, ticks in ((COOLS_ABOVE_MC, 0), (COOLS_ABOVE_MC + 1, STILL_TICKS)):
        bench = cooling_bench(document(), from_mc=lowest_mc + FALLEN_MK)
        assert bench.ticks_to_trip(rising(0, lowest_mc)) == ticks


def test_walls_may_hold_the_reading_for_a_minute_behind_a_door_just_shut():
    bench = cooling_bench(document())
    bench.holds(140_000, shutting=True)
    bench.holds(140_000 - FALLEN_MK, shutting=False)
    quiet_ticks = DOOR_QUIET_MS // 250 - 1
    still = rising(0, 140_000 - FALLEN_MK)
    assert bench.ticks_to_trip(still) == quiet_ticks - 1 + STILL_TICKS
    assert bench.rule.seen == COOLS_MS + 250


def test_a_rise_is_measured_from_the_lowest_point_since_heat_went_off():
    bench = rise_bench(document())
    bench.holds(150_000, duty=8_000)
    assert bench.ticks_to_trip(rising(-1_000, 150_000), 100, duty=0) == 0
    assert bench.ticks_to_trip(rising(2_000, 125_000), 100) in range(20, 26)
    bench = rise_bench(document())
    assert bench.ticks_to_trip(rising(2_000), 200, duty=500) == 0


def current_bench(rule):
    return Bench(lambda b: rule.holds(b.inputs, b.scene, 250))


def test_current_while_off_or_in_an_off_slot():
    for current_ma, duty, ticks in (
        (201, 0, 5), (200, 0, 0), (4_000, 1, 0), (-201, 5_000, 5), (-200, 5_000, 0),
        (-4_000, 0, 5), (inputs.NONE, 0, 0),
    ):  # fmt: skip
        bench = current_bench(OffSlot())
        bench.inputs.current_ma = current_ma
        assert bench.ticks_to_trip(rising(0), 40, duty=duty) == ticks


def test_no_current_where_there_should_be():
    for current_ma, duty, ticks in (
        (200, 2_000, 21), (201, 2_000, 0), (0, 1_999, 0), (0, 9_800, 21), (-200, 9_000, 21),
        (-201, 9_000, 0), (inputs.NONE, 9_000, 0),
    ):  # fmt: skip
        bench = current_bench(NoCurrent())
        bench.inputs.current_ma = current_ma
        assert bench.ticks_to_trip(rising(0), 40, duty=duty) == ticks


def test_a_door_is_waited_for():
    door, given = Door(), inputs.Inputs()
    given.door = 1
    opened = [(door.see(given, True, 250), door.is_open, door.is_left_open) for _ in range(41)]
    assert [row[1] for row in opened] == [True] * 41
    assert [row[2] for row in opened] == [False] * (DOOR_WAIT_MS // 250) + [True]
    given.door = 0
    shut = [(door.see(given, True, 250), door.is_open, door.is_quiet) for _ in range(241)]
    assert [row[1] for row in shut] == [False] * 241
    assert [row[2] for row in shut] == [True] * (DOOR_QUIET_MS // 250 - 1) + [False] * 2


def test_two_short_glances_are_not_one_long_one():
    door, given = Door(), inputs.Inputs()
    for _ in range(3):
        for is_open in [1] * 30 + [0] * 4:
            given.door = is_open
            door.see(given, True, 250)
            assert not door.is_left_open


def test_a_door_that_is_not_watched_or_not_fitted_is_nobodys_fault():
    door, given = Door(), inputs.Inputs()
    given.door = 1
    door.see(given, False, 250)
    assert (door.is_open, door.is_quiet) == (False, False)
    given.door = inputs.NONE
    door.see(given, True, 250)
    assert (door.is_open, door.is_quiet) == (False, False)


def test_a_door_that_is_being_shut_is_told_for_one_tick_watched_or_not():
    for watched in (True, False):
        door, given = Door(), inputs.Inputs()
        told = []
        for now in (inputs.NONE, 1, 1, 0, 0, inputs.NONE, 0, 1, inputs.NONE):
            given.door = now
            door.see(given, watched, 250)
            told.append(door.is_shutting)
        assert told == [False, False, False, True, False, False, False, False, False]
