"""What the documents say about themselves: limits, areas, times, matrices."""

import datetime as dt
import math
from pathlib import Path

import pytest
from pydantic import ValidationError

from heatsim.params import PlantParams
from heatsim.params import faults as plant_faults
from heatwright.documents import Paste, Stage, load_board, load_part, load_parts, read_document
from heatwright.documents.schema import MODELS
from heatwright.errors import BadInput

GOOD = Path(__file__).parent / "good"


def good(kind):
    return read_document(MODELS[kind], GOOD / f"{kind}.toml")


def changed(kind, **changes):
    return MODELS[kind].model_validate(good(kind).model_dump(exclude_unset=True) | changes)


def test_nothing_in_a_document_changes_later():
    with pytest.raises(ValidationError):
        good("paste").name = "other"


def test_a_clash_is_refused_without_a_file_too():
    with pytest.raises(ValidationError, match="solidus_c: solidus lies above liquidus"):
        changed("paste", solidus_c=221.0)


def test_a_number_without_origin_counts_as_the_data_sheets():
    paste = good("paste")
    assert paste.origin_of("peak_c").source == "sheet of 2025, page 2"
    assert paste.origin_of("soak_c").status == "data_sheet"


def test_above_liquidus_counts_from_liquidus_unless_the_sheet_says_else():
    assert good("paste").above_c == 220
    window = good("paste").window.model_dump(exclude_none=True) | {"above_c": 217.0}
    assert changed("paste", window=window).above_c == 217


def test_a_sheet_wins_over_the_classification():
    part = good("part")
    assert part.classification_c == 260
    assert part.limits.peak_c == 255
    assert part.limits.near_peak_s == 20
    assert part.limits.ramp_up_max_c_per_s == 3
    assert "data_sheet" not in part.limits.source


def test_a_silent_sheet_leaves_it_to_the_classification():
    limits = changed("part", sheet={}).limits
    assert limits[:5] == (260, 30, 3, 6, 480)
    assert limits.source == "IPC/JEDEC J-STD-020 revision D (2008), Tables 4-2 and 5-2"
    assert "from memory" in changed("part", sheet={}, process="tin_lead").limits.source


def test_floor_life_comes_from_the_level_or_from_the_label():
    assert good("part").life_out_of_bag_h == 168
    assert changed("part", floor_life_h=100.0).life_out_of_bag_h == 100
    assert changed("part", moisture_level=None).life_out_of_bag_h is None
    assert math.isinf(changed("part", moisture_level="1").life_out_of_bag_h)


def test_a_bag_opened_on_a_date_was_opened_at_its_first_minute():
    part = changed("part", bag_opened_at=dt.date(2026, 3, 14))
    assert part.bag_opened_at == dt.datetime(2026, 3, 14)


def test_the_load_of_a_part_on_its_pads():
    part = changed("part", mass_mg=460.0, pad_area_mm2=10.0)
    assert part.load_mg_per_mm2 == pytest.approx(46.0)
    assert good("part").load_mg_per_mm2 is None


def test_copper_is_spread_over_the_board():
    board = changed("board", layers=2, copper_um=35.0, copper_percent=50.0)
    assert board.copper_mm == pytest.approx(0.035)


def test_knots_and_starts_of_a_profile():
    profile = good("profile")
    assert profile.knots == [
        (0.0, 25.0),
        (125.0, 150.0),
        (215.0, 200.0),
        pytest.approx((236.25, 217.0)),
        pytest.approx((268.75, 243.0)),
        pytest.approx((278.75, 243.0)),
        pytest.approx((400.75, 60.0)),
    ]
    assert profile.starts == [
        (0.0, "preheat"),
        (125.0, "soak"),
        (215.0, "ramp_up"),
        (236.25, "reflow"),
        (278.75, "ramp_down"),
    ]
    assert profile.duration_s == pytest.approx(400.75)


def test_a_stage_that_is_there_already_takes_no_time():
    stages = [
        {"name": "preheat", "to_c": 150.0, "rate_c_per_s": 1.0},
        {"name": "soak", "to_c": 150.0, "rate_c_per_s": 1.0, "hold_s": 60.0},
    ]
    knots = changed("profile", stages=stages).knots
    assert knots == [(0, 25), (125, 150), (185, 150)]
    assert Stage(name="soak", to_c=150.0, time_s=30.0).ramp_s(150.0) == 30.0


def test_a_source_becomes_a_plant():
    source = good("source")
    params = source.plant_params()
    assert isinstance(params, PlantParams)
    assert plant_faults(params) == []
    assert params.structure == "oven"
    assert params.power_w == 1080
    # parameters that the file leaves out keep the plant's own default
    assert params.free_exponent == PlantParams.__dataclass_fields__["free_exponent"].default


def test_uncertainty_of_a_source():
    source = good("source")
    assert source.relative_sd() == {"power_w": 0.05, "leak_w_k": 0.2}
    assert source.correlation().matrix() == [[1.0, 0.3], [0.3, 1.0]]
    assert source.spread.reflow.sd_k == 2.0


def test_parts_of_a_board_lie_beside_it(tmp_path):
    text = (GOOD / "part.toml").read_text()
    (tmp_path / "radio.toml").write_text(text)
    (tmp_path / "lamp.toml").write_text(text.replace("Radio", "Lamp"))
    parts = load_parts(good("board"), tmp_path)
    assert [part.name for part in parts] == ["Radio", "Lamp"]


def test_all_missing_parts_are_said_at_once(tmp_path):
    with pytest.raises(BadInput) as caught:
        load_parts(good("board"), tmp_path)
    assert [fault.where for fault in caught.value.faults] == [
        str(tmp_path / "radio.toml"),
        str(tmp_path / "lamp.toml"),
    ]


def test_the_parts_of_the_scenario():
    parts = {part.name: part for part in load_parts(load_board("bat-logger"))}
    assert parts["MEMS microphone"].fragile == ["vented_microphone"]
    assert parts["Microcontroller"].limits.peak_c == 260
    # classification alone would say 250 and 245 °C
    assert load_part("electrolytic-capacitor").classification_c == 250
    assert load_part("battery-connector").classification_c == 245


def test_models_have_no_loose_keys():
    for model in MODELS.values():
        assert model.model_config["extra"] == "forbid"
    assert Paste.kind_of_document == "paste"
