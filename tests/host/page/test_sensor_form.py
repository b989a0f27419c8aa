"""What is typed of the sensor: checked, and told where it is no reading."""

import pytest
from page_made import OURS, visitor

from heatwright import sentences
from heatwright.errors import BadInput
from heatwright.page.sensor_form import checked


def test_each_way_says_something_of_its_own():
    assert len(checked({"ice": "0.5"})) == 1
    # by Antoine's equation water boils at 93.3 °C where the air is that of 2000 m
    assert "more than" not in checked({"boiling": "93.3", "altitude": "2000"})[0]
    assert "more than" in checked({"boiling": "93.3"})[0]
    assert "more than" not in checked({"boiling": "93.3", "pressure": "795"})[0]
    assert sentences.SENSOR_LEADS in checked({"boiling": "14"})
    assert checked({"one": "24", "other": "45"})[0].startswith(sentences.SENSORS_DIFFER[:12])
    assert sentences.SENSOR_OFFSET in checked({"ice": "8", "boiling": "108"})


@pytest.mark.parametrize("typed", [{"ice": "cold"}, {"boiling": "9000"}, {"ice": "nan"}])
def test_what_is_no_reading_is_told(typed):
    with pytest.raises(BadInput) as refused:
        checked(typed)
    assert refused.value.faults[0].found == next(iter(typed.values()))
    assert "a number from" in refused.value.faults[0].expected


@pytest.mark.parametrize("typed", [{}, {"altitude": "300"}, {"one": "24"}])
def test_nothing_to_check_is_told(typed):
    with pytest.raises(BadInput):
        checked(typed)


def test_the_answer_stands_at_its_step_and_what_was_typed_stays(tmp_path):
    browser = visitor(tmp_path)
    answer = browser.post("/source/sensor", data={"ice": "0,5"}, headers=OURS)
    assert answer.status_code == 200
    assert 'class="result"' in answer.text
    assert 'value="0,5"' in answer.text
    bad = browser.post("/source/sensor", data={"ice": "cold"}, headers=OURS)
    assert bad.status_code == 422
    assert "cold" in bad.text
