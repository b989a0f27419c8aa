"""Every generation of a plan is kept, and none is written over another."""

from pathlib import Path

import pytest

from core.plans import document
from heatcore import plan as core
from heatwright.errors import BadInput
from heatwright.planning import keeping
from heatwright.planning.plan_file import with_id


def plan_named(name):
    return with_id({**document(), "name": name})


def test_a_plan_that_lay_there_is_moved_beside_and_can_be_read(tmp_path):
    out, first, second = tmp_path / "plan.json", plan_named("first"), plan_named("second")
    assert keeping.write_plan(out, first) is None
    earlier = keeping.write_plan(out, second)
    assert out.read_bytes() == second
    assert earlier == tmp_path / f"plan.{core.read(first).id}.json"
    assert earlier.read_bytes() == first


def test_the_picture_of_the_plan_that_lay_there_goes_with_it(tmp_path):
    out, first = tmp_path / "plan.json", plan_named("first")
    keeping.write_plan(out, first)
    keeping.picture_of(out).write_bytes(b"first picture")
    earlier = keeping.write_plan(out, plan_named("second"))
    assert keeping.picture_of(earlier).read_bytes() == b"first picture"
    assert not keeping.picture_of(out).exists()


@pytest.mark.parametrize("out", ["nowhere/plan.json", "/dev/zero", "."])
def test_a_place_that_takes_no_plan_is_refused_and_never_read(tmp_path, monkeypatch, out):
    monkeypatch.chdir(tmp_path)
    with pytest.raises(BadInput, match="can't be written"):
        keeping.check_free(Path(out))
    assert not list(tmp_path.iterdir())


def test_the_same_plan_again_moves_nothing(tmp_path):
    out, data = tmp_path / "plan.json", plan_named("only")
    keeping.write_plan(out, data)
    assert keeping.write_plan(out, data) is None
    assert [path.name for path in tmp_path.iterdir()] == ["plan.json"]


def test_what_is_no_plan_is_left_alone(tmp_path):
    out = tmp_path / "notes.toml"
    out.write_text("mine = 1\n")
    for write in (lambda: keeping.check_free(out), lambda: keeping.write_plan(out, b"")):
        with pytest.raises(BadInput, match="no plan, and is not written over"):
            write()
    assert out.read_text() == "mine = 1\n"


def test_generations_are_numbered_over_no_other_and_the_same_one_once(tmp_path):
    at, second = tmp_path / "plan.json", plan_named("second")
    first_free = keeping.next_generation(at, second)
    assert (first_free.path.name, first_free.there) == ("plan.g2.json", False)
    first_free.path.write_bytes(second)
    again = keeping.next_generation(at, second)
    assert (again.path, again.number, again.there) == (first_free.path, 2, True)
    third = keeping.next_generation(first_free.path, plan_named("third"))
    assert (third.path.name, third.number, third.there) == ("plan.g3.json", 3, False)
