"""No intermediate of the core leaves 31 bits, whatever it is told; and what comes out is right."""

from array import array

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from core.plans import document, open_loop, plain
from firmware.core.checked import Checked, CheckedArray, checked_plan
from heatcore import inputs, plan, thermocouple
from heatcore.burst import FULL_DUTY, Burst
from heatcore.cutoff import Cutoff
from heatcore.limits import DUTY_MAX, RUN_MAX_MS
from heatcore.loop import ControlLoop
from heatcore.numbers import BOUND, RATIO_BITS, TERM_MAX, Ratio
from heatcore.pid import Pid
from heatcore.reference import Curve

FIELD = st.integers(-(1 << 29), 1 << 29)  # all that an input can hold
TEMPERATURE = st.integers(-1_000_000, 1_000_000)


def whole(low, high):
    """Integers with both ends often among them."""
    return st.one_of(st.sampled_from([low, high]), st.integers(low, high))


@st.composite
def ratios(draw):
    d = draw(st.one_of(whole(1, (1 << RATIO_BITS) - 1), whole(1, (1 << 30) - 1)))
    n = draw(whole(0, max(d, TERM_MAX)))
    return draw(whole(-(1 << 29), 1 << 29)), n, d, draw(whole(0, d - 1))


@settings(max_examples=2_000, deadline=None)
@given(ratios())
@example((-(1 << 29), 130_945, (1 << RATIO_BITS) - 1, 0))
def test_ratio(terms):
    a, n, d, carry = terms
    ratio = Ratio()
    found = ratio.of(Checked(a), Checked(n), Checked(d), Checked(carry))
    true = (a * n + carry) // d
    if d >> RATIO_BITS:
        assert abs(found) <= BOUND
        return
    assert found == max(-BOUND, min(BOUND, true))
    assert ratio.saturated == (not -BOUND <= true <= BOUND)
    if not ratio.saturated:
        assert ratio.rest == (a * n + carry) % d


@settings(max_examples=500, deadline=None)
@given(whole(-1_000_000, 1_000_000), whole(1, RUN_MAX_MS), st.data())
def test_ratio_of_a_long_time(rise, span, data):
    since = data.draw(whole(0, span))
    found = Ratio().nearest(Checked(rise), Checked(since), Checked(span))
    lost_ms = 1 << max(0, span.bit_length() - RATIO_BITS)
    assert abs(found - rise * since / span) <= 1 + 2 * abs(rise) * lost_ms / span


@settings(max_examples=300, deadline=None)
@given(st.lists(st.integers(1, 40_000), min_size=1, max_size=119), st.data())
def test_curve(steps, data):
    times = [0]
    for step in steps:
        times.append(min(times[-1] + step, RUN_MAX_MS - 200 + len(times)))
    values = data.draw(st.lists(TEMPERATURE, min_size=len(times), max_size=len(times)))
    curve = Curve(CheckedArray(array("i", times)), CheckedArray(array("i", values)), Ratio())
    for t_ms in sorted(data.draw(st.lists(st.integers(0, RUN_MAX_MS), max_size=20))):
        assert min(values) <= curve.at(Checked(t_ms), 0) <= max(values)


GAIN = whole(0, plan.GAIN_MAX)
GAINS = st.tuples(GAIN, GAIN, GAIN, whole(0, plan.SHIFT_MAX), whole(0, plan.FILTER_MAX_MS))


@settings(max_examples=300, deadline=None)
@given(GAINS, GAINS, st.lists(st.tuples(TEMPERATURE, TEMPERATURE), min_size=1, max_size=60))
def test_pid(first, second, moments):
    rows = CheckedArray(array("i", [0, *first, 5_000, *second]))
    pid = Pid(rows, Ratio())
    for tick, (y_star, y) in enumerate(moments):
        error = Checked(y_star) - Checked(y)
        duty = pid.step(Checked(tick * 250), Checked(DUTY_MAX), error, -error)
        assert 0 <= duty <= DUTY_MAX


@settings(max_examples=500, deadline=None)
@given(FIELD, FIELD, st.sampled_from([thermocouple.LINE_41, thermocouple.LINE_41_276]))
def test_thermocouple(value, cold_mc, line):
    table = CheckedArray(thermocouple.EMF)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(thermocouple, "EMF", table)
        thermocouple.emf(Checked(value))
        thermocouple.temperature(Checked(value))
        thermocouple.undo_line(Checked(value), Checked(cold_mc), line)


@settings(max_examples=500, deadline=None)
@given(whole(-60_000, 530_000), whole(-60_000, 90_000))
def test_thermocouple_in_its_range(line_mc, cold_mc):
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(thermocouple, "EMF", CheckedArray(thermocouple.EMF))
        for line in (thermocouple.LINE_41, thermocouple.LINE_41_276):
            found = thermocouple.undo_line(Checked(line_mc), Checked(cold_mc), line)
            assert found == inputs.NONE or abs(found - line_mc) < 25_000


@settings(deadline=None)
@given(st.lists(st.integers(-5, FULL_DUTY + 5), max_size=200))
def test_burst(duties):
    burst = Burst()
    assert {burst.slot(Checked(duty)) for duty in duties} <= {0, 1}


@settings(deadline=None)
@given(st.lists(st.tuples(whole(0, 1 << 29), FIELD, FIELD), max_size=20))
def test_cutoff(moments):
    cutoff = Cutoff()
    cutoff.arm(Checked(0), Checked(0))
    for now_ms, mc, seq in moments:
        cutoff.renew(Checked(now_ms), Checked(mc), Checked(seq))
        cutoff.allows(Checked(now_ms))


def told(draw, values):
    made = inputs.Inputs()
    for name in inputs.FIELDS:
        setattr(made, name, Checked(draw(values)))
    return made


DOCUMENTS = (document(), plain(waits=[[9_000, "above", 300_000, 20_000, 0]]), open_loop())


@settings(max_examples=150, deadline=None)
@given(st.sampled_from(DOCUMENTS), GAINS, st.data())
def test_loop_told_anything(doc, gains, data):
    """Any value in any field, any clock: silence or a duty within its bounds."""
    doc = {**doc, "gains": [[0, *gains]]}
    loop = ControlLoop(checked_plan(plan.read(plan.write(doc))))
    clock = st.integers(-(1 << 30), (1 << 30) - 1)
    for _ in range(data.draw(st.integers(1, 12))):
        command = loop.tick(Checked(data.draw(clock)), told(data.draw, FIELD))
        assert 0 <= command.duty <= DUTY_MAX
        assert command.relay or command.duty == 0


@settings(max_examples=80, deadline=None)
@given(
    st.sampled_from(DOCUMENTS), GAINS,
    st.lists(st.tuples(whole(0, 1_000), whole(-20_000, 500_000), st.booleans()), max_size=120),
)  # fmt: skip
def test_loop_on_a_steady_clock(doc, gains, moments):
    """Believable readings and steps, so that schedule, reference and PID are all reached."""
    doc = {**doc, "gains": [[0, *gains]]}
    loop = ControlLoop(checked_plan(plan.read(plan.write(doc))))
    made = inputs.Inputs()
    made.sensor_status = made.sensor_age_ms = made.host_age_ms = Checked(0)
    now_ms = Checked(0)
    for step_ms, mc, event in moments:
        now_ms += step_ms
        made.sensor_mc = Checked(mc)
        made.sensor_seq = Checked(made.sensor_seq + 1)
        made.mark, made.press = made.mark + event, made.press + event
        command = loop.tick(now_ms, made)
        assert 0 <= command.duty <= DUTY_MAX
        assert not (command.trip and command.duty)
