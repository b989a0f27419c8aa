"""Plans in integers: gains, stages, names, limits."""

import numpy as np
import pytest

from heatcore import plan as core
from heatsim.plant import NODES
from heatwright.documents import Profile, Stage, load_paste, load_source
from heatwright.planning import plan_file
from heatwright.planning.making import make_plan
from heatwright.planning.nominal import Infeasible
from heatwright.planning.trajectory import Trajectory
from heatwright.planning.tuning import Gains
from heatwright.planning.wanted import Wanted

TIME_S = np.array([0.0, 100.0, 200.0, 300.0])
BOARD_C = np.array([25.0, 120.0, 240.0, 150.0])
SENSOR_C = np.array([25.0, 150.0, 260.0, 120.0])


def trajectory(sensor_c=SENSOR_C, coasts_k=0.0, **changes):
    states = np.tile(BOARD_C[:, None], (1, 9))
    states[:, NODES.index("sensor")] = sensor_c
    values = {
        "time_s": TIME_S,
        "duty": np.array([0.5, 0.8, 0.98, 0.0]),
        "starts": [(0.0, "preheat"), (100.0, "soak"), (200.0, "ramp_down")],
        "door_cue_s": 200.0,
        "cut_s": 200.0,
        "fine_s": TIME_S,
        "fine": states,
        "highest": states.max(axis=0) + coasts_k,
    }
    return Trajectory(**(values | changes))


GAINS = Gains(0.02, 100.0)


def made(gains=GAINS, name="bat-call logger", is_lifted=False, **changes):
    rows = gains if isinstance(gains, list) else [(0.0, gains)]
    found = trajectory(**changes)
    return core.read(plan_file.track(found, "sensor", rows, name, is_lifted))


def test_values_arrive_in_the_controllers_units():
    plan = made()
    assert plan.t_ms.tolist() == [0, 100_000, 200_000, 300_000]
    assert plan.y_mc.tolist() == [25_000, 150_000, 260_000, 120_000]
    assert plan.b_mc.tolist() == [25_000, 120_000, 240_000, 150_000]
    # an eighth of a second on, in the middle of the tick that it is held for
    assert plan.u.tolist() == [5_004, 8_002, 9_800, 0]
    assert plan.door_cue_ms == 200_250
    assert plan.name == "bat-call logger"


@pytest.mark.parametrize(
    "gains",
    [Gains(0.02, 100.0), Gains(0.001, 2_000.0), Gains(0.4, 8.0), Gains(0.05, 60.0, 12.0)],
)
def test_gains_survive_the_rounding(gains):
    _, kp, ki, kd, shift, _ = made(gains).gains
    scale = 10.0 * gains.duty_per_k * 2**shift
    assert kp == pytest.approx(scale, rel=0.01)
    assert ki == pytest.approx(scale / gains.integral_s, rel=0.1, abs=0.6)
    assert kd == pytest.approx(scale * gains.derivative_s, rel=0.01)


def test_each_row_of_gains_stands_from_its_own_time():
    rows = made([(0.0, GAINS), (80.0, Gains(0.04, 50.0))]).gains
    assert [rows[0], rows[core.GAINS_WIDTH]] == [0, 80_000]
    assert rows[core.GAINS_WIDTH + 1] == pytest.approx(2 * rows[1], abs=1)


def test_the_clock_waits_for_a_source_that_lags_at_the_end_of_preheat_and_of_heating():
    plan = made()
    rows = [plan.waits[i : i + 5].tolist() for i in range(0, len(plan.waits), 5)]
    # 2 K of lag at soak are left to feedback, half a kelvin at the end of heating
    assert rows == [[100_000, 2, 148_000, 60_000, 9_800], [200_000, 2, 259_500, 60_000, 9_800]]
    assert plan.stretch_ms == 120_000
    assert plan.door_cue_ms > rows[-1][0], "nobody opens the door while heating is waited for"


def test_a_board_that_is_lifted_is_lifted_on_temperature():
    at_ms, kind, value_mc, *_ = made(is_lifted=True).waits[-5:]
    assert (at_ms, kind, value_mc) == (192_000, 2, 259_500)


def test_a_board_that_coasts_to_its_peak_is_not_waited_for_with_new_heat():
    coasting = {"duty": np.array([0.8, 0.8, 0.0, 0.0]), "sensor_c": SENSOR_C}
    rows = made(is_lifted=True, **coasting).waits.tolist()
    assert rows[-5:-2] == [192_000, 2, 259_500]
    # 8 s before the lift of a duty that falls from 0.8 to nought in 100 s
    assert rows[-1] == pytest.approx(640, abs=1)
    end = made(**coasting).waits.tolist()[-5:]
    assert end[:2] == [100_000, 2], "the end of heating in earnest"
    assert end[-1] == 8_000


def test_limits_reckon_with_a_sensor_that_goes_on_rising():
    assert made(coasts_k=10.0).limits[core.SENSOR_MAX] == 295_000


def test_no_door_no_cue():
    assert made(door_cue_s=None).door_cue_ms == core.NO_CUE


def test_of_two_stages_that_begin_at_once_the_later_stands():
    starts = [(0.0, "preheat"), (0.0, "soak"), (150.0, "reflow"), (150.0, "ramp_down")]
    assert made(starts=starts).stages.tolist() == [0, 1, 150_000, 4]


@pytest.mark.parametrize(
    ("name", "shown"),
    [("Löt-Profil", "Lot-Profil"), ("x" * 80, "x" * 40), ("焊", "plan"), ("a\tb\n", "ab")],
)
def test_names_fit_a_small_display(name, shown):
    assert made(name=name).name == shown


def test_the_id_follows_from_the_content():
    assert made().id == made().id
    assert made().id != made(name="another").id
    assert made().id != made(gains=Gains(0.021, 100.0)).id


def test_limits_leave_room_but_never_more_than_the_controllers_own():
    plan = made()
    assert plan.limits[core.SENSOR_MAX] == 285_000
    assert plan.limits[core.BOARD_MAX] == 255_000
    hot = made(sensor_c=np.array([25.0, 150.0, 290.0, 120.0]))
    assert hot.limits[core.SENSOR_MAX] == 300_000


def test_a_profile_without_ramp_down_has_no_cue():
    profile = Profile(name="up", stages=[Stage(name="reflow", to_c=240.0, rate_c_per_s=1.0)])
    plan = core.read(plan_file.setpoint(profile, 250.0, plan_file.CAREFUL))
    assert plan.door_cue_ms == core.NO_CUE
    assert plan.limits[core.RISE_MAX] == 1_000


def test_a_hot_plate_run_of_1300_s_fits_the_controller_with_all_that_watches_it():
    slow = Profile(
        name="slow",
        stages=[
            Stage(name="preheat", to_c=150.0, rate_c_per_s=0.18),
            Stage(name="soak", to_c=200.0, time_s=280.0),
            Stage(name="reflow", to_c=240.0, rate_c_per_s=0.14),
        ],
    )
    source = load_source("hot-plate")
    data = make_plan(source, Wanted(load_paste("sac305"), slow)).plan
    plan = core.read(data)
    assert plan.t_ms[-1] >= 1_300_000
    assert len(plan.deviation) >= 20 * core.DEVIATION_WIDTH
    assert len(data) <= core.BYTES_MAX


def test_a_plan_that_no_controller_takes_is_told_and_not_made(monkeypatch):
    monkeypatch.setattr(core, "BYTES_MAX", 800)
    own = Profile(name="own", stages=[Stage(name="reflow", to_c=240.0, rate_c_per_s=1.0)])
    with pytest.raises(Infeasible, match="no plan that a controller takes: plan: found"):
        make_plan(load_source("drawer"), Wanted(load_paste("sac305"), own))
