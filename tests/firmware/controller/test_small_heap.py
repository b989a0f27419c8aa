"""The whole firmware, from .mpy, through a whole plan in the heap of a chip."""

from small_heap import GUARD_KB, IN_PLACE_KB, compile_firmware, put_in_place, run_whole
from workbench import document

from heatcontroller.states import ARMED, COOLING, RUNNING
from heatcore import plan


def longest_plan():
    """As many knots and waits as a plan may have, so that its file is near the limit."""
    knots = 100
    times = [2_000 * number for number in range(knots)]
    doc = document(
        t_ms=times,
        y_mc=[22_000 + 600 * number for number in range(knots)],
        u=[4_000] * (knots - 1) + [0],
        b_mc=[22_000 + 500 * number for number in range(knots)],
        stages=[[0, "preheat"], [150_000, "ramp_down"]],
        waits=[[100_000, "above", 40_000, 2_000, 3_000]],
        door_cue_ms=150_000,
    )
    return plan.write(doc)


def test_a_whole_plan_in_the_heap_of_a_small_chip(tmp_path):
    data = longest_plan()
    assert len(data) > 2_000
    compile_firmware(tmp_path)
    found = run_whole(tmp_path, data, GUARD_KB)
    assert set(found["states"]) >= {RUNNING, COOLING}
    assert found["states"][0] in (ARMED, RUNNING)
    assert found["seconds"] > 200
    assert found["hottest_mc"] > 60_000
    assert found["trouble"] == ""
    assert found["log_bytes"] > 15_000
    assert found["free_bytes"] > 0
    assert found["step_bytes"] == 0
    # nothing is loaded in a run, and what read the plan has made room
    assert len(set(found["modules"])) == 1
    assert not found["reads_plans"]
    assert found["again"] in ("too_hot", "not_rested")


def test_code_that_is_run_in_place_leaves_the_bar_s_heap(tmp_path):
    compiled, placed = tmp_path / "files", tmp_path / "placed"
    compiled.mkdir()
    placed.mkdir()
    compile_firmware(compiled)
    assert put_in_place(compiled, placed) > 50_000
    found = run_whole(placed, longest_plan(), IN_PLACE_KB)
    assert found["trouble"] == ""
    assert found["free_bytes"] > 0
    assert found["step_bytes"] == 0
    assert found["again"] in ("too_hot", "not_rested")
