"""The moving target: stages in order, holds, and waiting for a source that can't follow."""

import pytest

from heatwright.documents import Profile, Stage
from heatwright.planning.course import Course

PROFILE = Profile(
    name="steps",
    stages=[
        Stage(name="preheat", to_c=125.0, rate_c_per_s=2.0),
        Stage(name="soak", to_c=155.0, time_s=60.0, hold_s=10.0),
        Stage(name="reflow", to_c=240.0, rate_c_per_s=1.0),
        Stage(name="ramp_down", to_c=60.0, rate_c_per_s=2.0),
    ],
)


def walked(reach_c, last_c=240.0, step_s=1.0, steps=300):
    course = Course(PROFILE, 25.0, last_c)
    return course, [course.advance(step_s, reach_c(n * step_s)) for n in range(1, steps + 1)]


def test_with_power_to_spare_the_target_is_the_profile_itself():
    course, targets = walked(lambda time_s: 1e3)
    assert targets[49] == pytest.approx(125.0)
    assert targets[49 + 30] == pytest.approx(140.0, abs=1.0)
    assert [name for _, name in course.starts] == ["preheat", "soak", "reflow"]
    assert [at for at, _ in course.starts] == pytest.approx([0.0, 51.0, 121.0], abs=2.0)
    assert max(targets) == 240.0
    assert course.done


def test_a_slow_source_stretches_the_stages_and_no_target_is_out_of_its_reach():
    def reach(time_s):
        return 25.0 + 0.8 * time_s

    course, targets = walked(reach, steps=400)
    assert all(target <= reach(n + 1) + 1e-9 for n, target in enumerate(targets))
    assert course.starts[1][0] == pytest.approx(126.0, abs=2.0)
    assert course.done


def test_the_target_never_falls_back_where_the_reach_does():
    _, targets = walked(lambda time_s: 100.0 if time_s < 60 else 50.0)
    assert targets == sorted(targets)
    assert targets[-1] == 100.0


def test_the_last_stage_goes_where_the_planner_says():
    assert max(walked(lambda time_s: 1e3, last_c=250.0)[1]) == 250.0
    assert max(walked(lambda time_s: 1e3, last_c=230.0)[1]) == 230.0
