"""Bad records: each is refused with a reason, or mended with a statement."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from heatwright.errors import BadInput
from heatwright.measuring.measurement import _on_grid
from heatwright.measuring.soundness import Raw, checked


def good() -> Raw:
    """Five minutes at one reading a second: heated for three, coasting for two."""
    time_s = np.arange(300.0)
    sensor_c = np.where(time_s < 180, 25 + time_s, 205 - 0.5 * (time_s - 180))
    duty = (time_s < 180).astype(float)
    return Raw("log.csv", time_s, duty, np.zeros(300), {"sensor": sensor_c}, None)


def with_sensor(values: np.ndarray) -> Raw:
    return replace(good(), channels={"sensor": values})


def bad_records() -> dict[str, Raw]:
    """One of each kind that people's loggers make."""
    sensor_c, time_s = good().channels["sensor"], good().time_s
    cold = replace(good(), channels={"sensor": np.full(300, 25.0)})
    return {
        "gap": good().cut(np.r_[0:200, 260:300]),
        "clock set": replace(good(), time_s=np.where(time_s < 100, time_s, time_s - 3600)),
        "milliseconds": replace(good(), time_s=1000 * time_s),
        "saturated": with_sensor(np.minimum(sensor_c, 190.0)),
        "swapped with duty": with_sensor(good().duty),
        "Fahrenheit": with_sensor(1.8 * sensor_c + 32),
        "kelvin": with_sensor(sensor_c + 273.15),
        "short gaps": good().cut(np.flatnonzero(time_s % 60 < 50)),
        "nothing tried": replace(cold, duty=np.zeros(300)),
        "reversed leads": with_sensor(50.0 - sensor_c),
    }


def told(raw: Raw) -> str:
    """What a person is told of this record."""
    try:
        return " ".join(checked(raw).statements)
    except BadInput as refused:
        return str(refused)


@pytest.mark.parametrize("kind", bad_records())
def test_every_kind_of_bad_record_is_refused_or_mended_and_said(kind: str) -> None:
    assert len(told(bad_records()[kind])) > 20


def test_a_good_record_passes_unchanged() -> None:
    found = checked(good())
    assert found.statements == ()
    assert np.array_equal(found.channels["sensor"], good().channels["sensor"])


def test_fahrenheit_is_recognised() -> None:
    with pytest.raises(BadInput, match="Fahrenheit"):
        checked(with_sensor(good().channels["sensor"] * 1.8 + 32))


def test_kelvin_is_recognised() -> None:
    with pytest.raises(BadInput, match="kelvin"):
        checked(with_sensor(good().channels["sensor"] + 273.15))


def test_a_source_that_begins_hot_and_cools_below_is_no_kelvin() -> None:
    hot = np.where(good().time_s < 60, 290 - 2 * good().time_s, 170 + good().time_s)
    assert checked(with_sensor(hot)).statements == ()


def test_milliseconds_are_recognised() -> None:
    with pytest.raises(BadInput, match="milliseconds"):
        checked(replace(good(), time_s=good().time_s * 1000))


def test_a_sensor_column_of_duties_is_recognised() -> None:
    with pytest.raises(BadInput, match="swapped"):
        checked(with_sensor(good().duty))


@pytest.mark.parametrize("duty", [0.0, 0.05])
def test_nothing_tried_is_refused(duty: float) -> None:
    raw = replace(good(), duty=np.full(300, duty))
    with pytest.raises(BadInput, match="nothing was tried"):
        checked(replace(raw, channels={"sensor": np.full(300, 25.0)}))


def test_a_clock_set_back_once_is_mended_and_said() -> None:
    time_s = good().time_s.copy()
    time_s[100:] -= 3600
    found = checked(replace(good(), time_s=time_s))
    assert np.allclose(np.diff(found.time_s), 1.0)
    assert "clock was set by -3600 s" in found.statements[0]
    assert "99 s" in found.statements[0]


def test_a_clock_set_forward_while_hot_is_no_gap() -> None:
    time_s = good().time_s.copy()
    time_s[250:] += 3600
    found = checked(replace(good(), time_s=time_s))
    assert np.allclose(np.diff(found.time_s), 1.0)


def test_a_clock_that_jumps_twice_is_refused() -> None:
    time_s = good().time_s.copy()
    time_s[100:] -= 3600
    time_s[200:] -= 3600
    with pytest.raises(BadInput, match="more than once"):
        checked(replace(good(), time_s=time_s))


def test_after_a_gap_nothing_counts() -> None:
    kept = np.r_[0:200, 260:300]
    found = checked(good().cut(kept))
    assert found.time_s[-1] == 199.0
    assert "199 s on nothing was recorded for 61 s" in found.statements[0]


def test_short_gaps_are_counted_and_said() -> None:
    """Ten readings are missing in each minute: 11 s from the last before to the first after."""
    found = checked(good().cut(np.flatnonzero(good().time_s % 60 < 50)))
    assert found.time_s[-1] == 289.0
    (said,) = found.statements
    assert "4 short gaps without readings, 44 s in all" in said


def test_nothing_is_read_in_a_short_gap() -> None:
    kept = good().cut(np.r_[0:100, 110:300])
    run = _on_grid(checked(kept), name="log", sha256="0" * 64, placing="air")
    inside = (run.time_s > 99.0) & (run.time_s <= 110.0)
    read = np.isfinite(run.readings["sensor"])
    assert not read[inside].any()
    assert read[~inside].all()
    assert "gap without readings, 11 s" in run.statements[0]


def test_readings_that_are_no_number_are_counted_and_said() -> None:
    sensor_c = good().channels["sensor"].copy()
    sensor_c[[40, 41, 150]] = np.nan
    (said,) = checked(with_sensor(sensor_c)).statements
    assert "3 of 300 readings" in said
    # before the first and after the last nothing was lost
    sensor_c = good().channels["sensor"].copy()
    sensor_c[[0, 1, 299]] = np.nan
    assert checked(with_sensor(sensor_c)).statements == ()


def test_rows_of_a_slow_logger_are_no_gaps() -> None:
    assert checked(good().cut(slice(0, 300, 10))).statements == ()


def test_a_gap_right_after_the_start_is_refused() -> None:
    with pytest.raises(BadInput, match="too little before it"):
        checked(good().cut(np.r_[0:20, 150:300]))


def test_a_saturated_sensor_is_left_out_and_said() -> None:
    clipped = np.minimum(good().channels["sensor"], 190.0)
    found = checked(with_sensor(clipped))
    top = good().channels["sensor"] >= 190.0
    assert np.isnan(found.channels["sensor"][top]).all()
    assert np.isfinite(found.channels["sensor"][~top]).all()
    assert "190 °C" in found.statements[0]


def test_a_sensor_saturated_for_long_is_refused() -> None:
    with pytest.raises(BadInput, match="end of its range"):
        checked(with_sensor(np.minimum(good().channels["sensor"], 100.0)))


def test_a_source_near_its_steady_state_is_not_saturated() -> None:
    time_s = np.arange(600.0)
    settling = np.round((25 + 100 * (1 - np.exp(-time_s / 60))) * 4) / 4
    raw = Raw("log.csv", time_s, np.ones(600), np.zeros(600), {"sensor": settling}, None)
    assert checked(raw).statements == ()


def test_rows_without_a_time_are_left_out_and_said() -> None:
    time_s = good().time_s.copy()
    time_s[7] = np.nan
    found = checked(replace(good(), time_s=time_s))
    assert len(found.time_s) == 299
    assert "left out" in found.statements[0]
