"""What is wrong is told in the page's words: it has fields where a command has options."""

from dataclasses import replace

import pytest

from heatwright import sentences
from heatwright.documents import load_paste, load_profile, load_source
from heatwright.errors import BadInput
from heatwright.page.faults import faults_of
from heatwright.planning.nominal import plan_for_source
from heatwright.planning.wanted import Wanted
from heatwright.running.job import Asked, prepare
from heatwright.running.named_on import check_on


def told(act, *words):
    with pytest.raises(BadInput) as caught:
        act(*words)
    return faults_of(caught.value)


def test_where_it_is_to_run_is_a_field():
    (fault,) = told(check_on, "sim:nope")
    assert fault["where"] == sentences.PAGE["on"]
    assert fault["found"] == "sim:nope"
    assert "sim:toaster" in fault["expected"]


def test_a_source_that_nobody_measured_is_chosen_not_named_by_an_option():
    (fault,) = told(prepare, Asked(on="/dev/ttyACM0"))
    assert fault["where"] == sentences.PAGE["on"]
    assert "--" not in " ".join(fault.values())
    assert sentences.PAGE["learn"] in fault["cure"]


def test_what_names_a_file_stays_as_it_is(tmp_path):
    (fault,) = told(prepare, Asked(on="sim:toaster", plan=tmp_path / "plan.json"))
    assert fault["where"] == str(tmp_path / "plan.json")


def test_a_plan_for_the_sensor_in_the_other_place_is_refused_in_the_pages_words(tmp_path):
    wanted = Wanted(load_paste("sac305"), load_profile("sac305"), True, "board_sensor")
    planned = plan_for_source(load_source("drawer").plant_params(), wanted)
    plan_at = tmp_path / "plan.g2.json"
    plan_at.write_bytes(planned.plan)
    asked = Asked(on="sim:drawer", source="drawer", plan=plan_at)
    (fault,) = told(prepare, asked)
    assert fault["where"] == str(plan_at)
    assert fault["expected"] == "the control sensor on the board"
    assert "--" not in " ".join(fault.values())
    assert "choose where the control sensor really sits" in fault["cure"]
    assert prepare(replace(asked, sensor="board_sensor")).data == planned.plan


@pytest.mark.parametrize("sentence", sentences.PAGE_INSTEAD.values())
def test_no_sentence_of_the_page_speaks_of_options(sentence):
    assert "--" not in sentence
    assert "heatwright " not in sentence
