"""The core on a plant that nobody here wrote: `TCLabModel` of PyPI `tclab` 1.0.0.

Two heaters on a small board, in the model that its makers fitted to the real kit. Readings are
floored to 0.3223 K and carry noise of 0.043 K. The second heater is the disturbance here.
"""

import random

import pytest
import tclab

from core.plans import make, plain
from heatcore import codes
from heatcore.inputs import Inputs
from heatcore.limits import DUTY_MAX
from heatcore.loop import ControlLoop
from heatwright.planning.tuning import FirstOrder, simc

ROOM_C, HOLD_C = 21.0, 50.0
FLOOR_BIAS_K = 0.16  # of the model's reading, half of its step
DISTURBED_S, LAST_S = 700, 1_200
SHIFT = 16


def new_lab() -> tclab.TCLabModel:
    """The model on simulated time from 0: it moves only when told the time."""
    random.seed(1)
    lab = tclab.TCLabModel(synced=False)
    lab.tlast = 0.0
    return lab


def step_model(lab) -> FirstOrder:
    """First order and dead time of heater 1 by the two-point method, from a step of 50 %."""
    lab.Q1(50)
    curve = []
    for tick in range(1, 8_000):
        lab.update(tick * 0.25)
        curve.append(lab._T1 - ROOM_C)
    t28, t63 = (next(i for i, c in enumerate(curve) if c > share * curve[-1]) / 4
                for share in (0.283, 0.632))  # fmt: skip
    time_s = 1.5 * (t63 - t28)
    return FirstOrder(curve[-1] / 0.5, time_s, t63 - time_s)


def gains_row(model: FirstOrder) -> list[int]:
    gains = simc(model)
    kp = gains.duty_per_k * 10  # 0..1 a kelvin to 0..10000 a millikelvin
    return [0, round(kp * 2**SHIFT), round(kp / gains.integral_s * 2**SHIFT), 0, SHIFT, 0]


def test_the_model_is_the_one_meant():
    # recomputed with tclab 1.0.0: 50 % on heater 1
    lab = new_lab()
    lab.Q1(50)
    for t_s, expected_c in ((100, 34.206), (300, 46.952)):
        lab.update(t_s)
        assert pytest.approx(expected_c, abs=0.01) == lab._T1


def run(lab, gains):
    doc = plain(
        t_ms=[0, 150_000, (LAST_S + 10) * 1000],
        y_mc=[21_000, 50_000, 50_000],
        gains=[gains],
        stages=[[0, "preheat"]],
        limits={
            "sensor_max_mc": 80_000,
            "board_max_mc": 80_000,
            "run_max_ms": 1_500_000,
            "rise_max_mk_s": 500,
        },
        door_cue_ms=-1,
    )
    loop, told, rows = ControlLoop(make(doc)), Inputs(), []
    told.sensor_status = told.sensor_age_ms = told.host_age_ms = 0
    for tick in range(LAST_S * 4):
        lab.update(tick * 0.25)
        told.sensor_mc = round(lab.T1 * 1000)
        told.sensor_seq += 1
        command = loop.tick(tick * 250, told)
        lab.Q1(command.duty / 100)
        lab.Q2(60 if tick > DISTURBED_S * 4 else 0)
        rows.append((tick / 4, lab._T1, command.duty, command.trip, command.note))
    return loop, rows


@pytest.fixture(scope="module")
def course():
    return run(new_lab(), gains_row(step_model(new_lab())))


def error_k(row):
    return row[1] - FLOOR_BIAS_K - HOLD_C


def test_it_settles_where_it_should(course):
    _, rows = course
    settled = [row for row in rows if DISTURBED_S - 200 < row[0] < DISTURBED_S]
    assert max(abs(error_k(row)) for row in settled) < 0.5


def test_it_overshoots_little(course):
    _, rows = course
    assert max(error_k(row) for row in rows if row[0] < DISTURBED_S) < 2.0


def test_it_brings_a_disturbance_back(course):
    _, rows = course
    disturbed = [abs(error_k(row)) for row in rows if row[0] > DISTURBED_S]
    assert 0.5 < max(disturbed) < 3.0
    assert max(disturbed[-400:]) < 0.5


def test_nothing_trips_or_saturates(course):
    loop, rows = course
    assert {row[3] for row in rows} == {0}
    assert {codes.NOTE_NAMES[row[4]] for row in rows} == {"none"}
    assert loop.saturations() == 0
    assert max(row[2] for row in rows) <= DUTY_MAX
