"""What a run that is over teaches: marks made afterwards, the plan's next generation."""

import pytest
from page_made import OURS, visitor

from heatwright.documents import load_board, load_paste
from heatwright.documents.bench import load_bench
from heatwright.errors import BadInput
from heatwright.page import lessons
from heatwright.page.board_picture import LEAST_MM, pictures
from heatwright.running.connect import connect
from heatwright.running.execute import recorded
from heatwright.running.job import Asked, prepare


@pytest.fixture(scope="module")
def place(tmp_path_factory):
    """A whole run with a bead on the board, on an oven that is not quite the planned one."""
    asked = Asked(on="sim:toaster", source="toaster", sensor="board_sensor", seed=5)
    root = tmp_path_factory.mktemp("bench") / "runs"
    return recorded(prepare(asked), connect(asked, None), root, lambda text: None)[0]


def test_marks_made_afterwards_stand_until_taken_back(place):
    assert lessons.marks(place) == []
    lessons.add_mark(place, "5:20", "last_melt", sure=True)
    assert [(one["at"], one["later"]) for one in lessons.marks(place)] == [("5:20", True)]
    lessons.undo_mark(place)
    assert lessons.marks(place) == []
    with pytest.raises(BadInput):
        lessons.undo_mark(place)


@pytest.mark.parametrize("at", ["", "soon", "99:00"])
def test_a_mark_at_no_time_of_the_run_is_refused(place, at):
    with pytest.raises(BadInput):
        lessons.add_mark(place, at, "first_melt", sure=True)
    assert lessons.marks(place) == []


def test_a_mark_that_the_model_contradicts_is_asked_about(place):
    with pytest.raises(BadInput, match="sure"):
        lessons.add_mark(place, "1:00", "first_melt", sure=False)
    assert lessons.marks(place) == []


def test_the_next_generation_is_shown_then_kept_then_offered(place):
    found = lessons.lesson(place)
    assert found.changes
    before, now = (one["points"] for one in found.curves if one.get("scale") == "%")
    assert [at for at, _ in before] == [at for at, _ in now]
    assert before != now
    assert lessons.better_plans(place.parent) == []
    name = lessons.keep(place, found)
    assert name == f"{place.name}/plan.g2.json"
    assert lessons.better_plans(place.parent) == [name]
    assert lessons.plan_path(place.parent, name) == place / "plan.g2.json"
    assert (place / "plan.g2.json").read_bytes() == found.refined.plan


@pytest.mark.parametrize(
    "name", ["", "plan.g2.json", "../runs/plan.g2.json", "x/../plan.g2.json", "{run}/plan.json"]
)
def test_only_a_plan_of_these_runs_is_taken(place, name):
    assert lessons.plan_path(place.parent, name.format(run=place.name)) is None


def test_what_was_not_shown_is_not_kept(place):
    with visitor(place.parent.parent) as browser:
        where = f"/runs/{place.name}/improve/keep"
        assert browser.post(where, headers=OURS).status_code == 404


def test_the_page_of_a_run_takes_marks_and_says_what_is_wrong(place):
    with visitor(place.parent.parent) as browser:
        where = f"/runs/{place.name}/marks"
        answer = browser.post(where, data={"at": "soon", "seen": "first_melt"}, headers=OURS)
        assert answer.status_code == 422
        assert "not a time" in answer.text
        assert browser.post(f"{where}/undo", headers=OURS).status_code == 422


def test_every_named_part_lies_on_the_picture_apart_from_the_others():
    bench = load_bench(load_paste("sac305"), "bat-logger")
    (top,) = pictures(bench, {"U1": "bridge"})
    named = {ref for one in load_board("bat-logger").placements for ref in one.refs}
    assert {one["ref"] for one in top["parts"]} == named
    assert [one["state"] for one in top["parts"] if one["ref"] == "U1"] == ["bridge"]
    for one in top["parts"]:
        assert one["w"] >= LEAST_MM
        assert one["x"] >= 0
        assert one["x"] + one["w"] <= top["width"]
        assert one["y"] + one["h"] <= top["height"]
    for at, one in enumerate(top["parts"]):
        for other in top["parts"][at + 1 :]:
            beside = one["x"] + one["w"] < other["x"] or other["x"] + other["w"] < one["x"]
            above = one["y"] + one["h"] < other["y"] or other["y"] + other["h"] < one["y"]
            assert beside or above


def test_a_board_that_nobody_described_has_no_picture():
    assert pictures(load_bench(load_paste("sac305"), None), {}) == []
