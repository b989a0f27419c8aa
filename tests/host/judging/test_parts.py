"""Parts against their limits, the sentence that opens a verdict, and what it repeats."""

from __future__ import annotations

import datetime as dt
import json
import tempfile
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from heatwright.documents import load_board, load_part, load_parts, load_paste, shipped, unit_guess
from heatwright.documents.bench import Bench, Fitted, load_bench
from heatwright.documents.parts_file import kept_bench, parts_text, read_parts
from heatwright.errors import BadInput
from heatwright.judging import curves, heat
from heatwright.judging.board import Board
from heatwright.judging.curves import ROOM_C
from heatwright.judging.measures import RATE_WINDOW_S, measure
from heatwright.judging.verdict import Verdict, judge, judge_board
from heatwright.judging.windows import Measure
from heatwright.records.reader import read
from host.documents.benches import bench, part
from records_made import GOOD, TICK_S, corners, paste, write

# GOOD with 246 C at its top, and a band as of a bead and its front end
HOT = ((0, 25), (125, 150), (215, 200), (245, 220), (270, 246), (295, 220), (395, 70), (455, 50))
BAND_K = 4.5


def with_parts(*parts: tuple[str, float], points=HOT, **window: object) -> Verdict:
    """A verdict on a curve with fragile parts of these names and highest temperatures."""
    fitted = tuple(
        Fitted(part(name=name, fragile=["plastic"], sheet={"peak_c": peak_c}))
        for name, peak_c in parts
    )
    own = Bench(paste(**window), None, fitted)
    return judge_board(Board(*corners(points), "measured", BAND_K), own)


def of_part(verdict: Verdict, name: str, kind: str) -> Measure:
    return next(m for m in verdict.measures if m.part == name and m.name == kind)


def test_the_sentence_says_it_all() -> None:
    verdict = with_parts(("Microphone", 255.0), ("Connector", 250.0), peak_c=(235.0, 255.0))
    assert verdict.sentence == "Melted everywhere, microphone safe, connector 4 °C from its limit."
    assert verdict.status == "likely_pass"


def test_over_the_limit_fails_and_says_by_how_much() -> None:
    verdict = with_parts(("MEMS microphone", 260.0), ("Connector", 243.0))
    assert verdict.status == "fail"
    assert verdict.sentence.startswith(
        "Melted everywhere, MEMS microphone safe, connector 3 °C over its limit"
    )
    assert any("Connector: the peak was 246 °C, 3 °C over" in note for note in verdict.notes)


def test_a_window_missed_is_added_to_the_parts() -> None:
    verdict = with_parts(("Connector", 260.0), soak_s=(60.0, 80.0))
    assert verdict.status == "warn"
    assert verdict.sentence.startswith("Melted everywhere, connector safe, but the soak was 90 s")


def test_hardly_molten_is_not_everywhere() -> None:
    low = ((0, 25), (125, 150), (215, 200), (235, 215), (245, 220.5), (265, 220.5), (395, 70))
    verdict = with_parts(
        ("Connector", 260.0), points=low, peak_c=(220.1, 250.0), above_liquidus_s=(5.0, 90.0)
    )
    assert verdict.sentence.startswith("Melted, but not surely everywhere")


@pytest.mark.parametrize(
    ("sheet", "kind", "value", "status"),
    [
        ({"peak_c": 246.1}, "part_peak", 246.0, "likely_pass"),
        ({"peak_c": 245.9}, "part_peak", 246.0, "fail"),
        # above 241 C: 5 K at 26/25 C/s up and as long down
        ({"peak_c": 246.0, "near_peak_s": 9.5}, "part_near_peak", 9.6, "fail"),
        ({"up_limit_c_per_s": 0.9}, "part_heating", 1.04, "fail"),
        ({"down_limit_c_per_s": 1.4}, "part_cooling", 1.5, "fail"),
        ({"to_peak_s": 260.0}, "part_time_to_peak", 270.0, "warn"),
    ],
)
def test_the_sheet_s_own_limits(sheet, kind: str, value: float, status: str) -> None:
    own = Bench(paste(), None, (Fitted(part(sheet=sheet)),))
    found = of_part(judge_board(Board(*corners(HOT), "measured", BAND_K), own), "Chip", kind)
    assert found.value == pytest.approx(value, rel=0.03)
    assert found.status == status
    assert found.value_low <= found.value <= found.value_high


def test_where_the_sheet_is_silent_j_std_020_rev_d_counts() -> None:
    """IPC/JEDEC J-STD-020 revision D (2008): 260 °C for a body under 1.6 mm; Table 4-2."""
    own = Bench(paste(), None, (Fitted(part()),))
    found = of_part(judge_board(Board(*corners(HOT), "measured", BAND_K), own), "Chip", "part_peak")
    assert found.high == 260.0
    assert "revision D" in found.source


def test_the_peak_s_band_is_the_bead_s() -> None:
    verdict = with_parts(("Connector", 260.0))
    assert (verdict.peak_board_low_c, verdict.peak_board_high_c) == (241.5, 250.5)
    document = verdict.as_json()
    assert document["peak_board_low_c"] == 241.5
    assert {"part", "value_low", "value_high"} <= document["measures"][0].keys()
    json.dumps(document, allow_nan=False)


def judged(tmp_path: Path, on: Bench, **header: str) -> Verdict:
    head = {"placing": "on_board", "started": "2026-03-20T12:00:00+00:00", **header}
    return judge(read(write(tmp_path / "record.txt", corners(GOOD)[1], **head)), on)


def test_floor_life_is_repeated_as_of_the_day_of_the_run(tmp_path: Path) -> None:
    opened = dt.datetime(2026, 3, 1, 12, 0)
    verdict = judged(tmp_path, bench(part(moisture_level="3", bag_opened_at=opened)))
    assert verdict.status == "warn"
    assert any("out of its dry bag for 19 days" in note for note in verdict.notes)
    assert "but U1 (Chip): out of its dry bag" in verdict.sentence
    later = dt.datetime(2026, 3, 19, 12, 0)
    (tmp_path / "later").mkdir()
    assert (
        judged(tmp_path / "later", bench(part(moisture_level="3", bag_opened_at=later))).status
        == "pass"
    )


def test_accepted_lead_is_repeated(tmp_path: Path) -> None:
    on = bench(part(contains_lead=True), paste="sn42bi58", accept_low_melting=True)
    verdict = judged(tmp_path, on)
    assert any("95-98 °C" in note and "accepted" in note for note in verdict.notes)


def test_assumed_numbers_are_repeated(tmp_path: Path) -> None:
    origin = {"thickness_mm": {"status": "assumed", "source": "a guess"}}
    verdict = judged(tmp_path, bench(part(origin=origin)))
    assert "Assumed, from no data sheet: U1 (Chip): thickness." in verdict.notes
    assert verdict.status == "pass"


def test_a_run_s_folder_is_judged_with_its_own_parts(tmp_path: Path) -> None:
    board = load_board("bat-logger")
    names = [place.part for place in board.placements]
    text = parts_text(board, dict(zip(names, load_parts(board), strict=True)))
    (tmp_path / "parts.toml").write_text(text, encoding="utf-8")
    (tmp_path / "board.toml").write_bytes(shipped("board")["bat-logger"].read_bytes())
    own = kept_bench(load_paste("sac305"), tmp_path / "board.toml", tmp_path / "parts.toml")
    assert own == load_bench(load_paste("sac305"), "bat-logger")


def test_a_broken_parts_file_names_the_part(tmp_path: Path) -> None:
    made = tmp_path / "parts.toml"
    made.write_text('[chip]\nname = "c"\npackage = "QFN"\nthickness_mm = -1.0\nvolume_mm3 = 3.0\n')
    with pytest.raises(BadInput, match=r"parts.toml \[chip\]"):
        read_parts(made)
    assert load_part("qfn-24-mcu").name == "Microcontroller"


# Closed forms -----------------------------------------------------------------------------------


@pytest.mark.parametrize(("at_c", "ratio"), [(250.0, 1.8227), (240.0, 1.3580), (230.0, 1.0)])
def test_intermetallic_rate_constants(at_c: float, ratio: float) -> None:
    """Ea 65.69 kJ/mol for liquid SAC on copper (conference abstract); ratios recomputed."""
    assert heat.growth_rate(np.array([at_c]))[0] == pytest.approx(ratio, abs=2e-4)


@pytest.mark.parametrize(("seconds", "at_c", "times"), [(60, 230, 1.0), (240, 230, 2.0)])
def test_the_layer_grows_with_the_root_of_time(seconds: int, at_c: float, times: float) -> None:
    time_s = np.arange(0.0, seconds + 0.1, 0.25)
    grown = heat.intermetallic_growth(time_s, np.full_like(time_s, at_c), 217.0)
    assert grown == pytest.approx(times)


@given(st.floats(0.3, 3.0), st.integers(0, 2**31))
@settings(max_examples=40)
def test_a_noisy_ramp_s_slope_is_its_own(rate: float, seed: int) -> None:
    """Least squares over 41 points 0.25 s apart: sd of the slope is sigma over 2.99 x sqrt 41."""
    noise_k = 0.1 * np.random.default_rng(seed).standard_normal(400)
    time_s = 0.25 * np.arange(400)
    _, slopes = curves.slopes(time_s, ROOM_C + rate * time_s + noise_k, RATE_WINDOW_S)
    assert np.abs(slopes - rate).max() < 6 * 0.1 / (2.99 * np.sqrt(41))


# Shifting, resampling, splitting ------------------------------------------------------------------

SHAPES = st.tuples(
    st.floats(0.6, 2.0), st.floats(0.4, 0.9), st.floats(0.6, 1.5), st.floats(226.0, 258.0),
    st.floats(0.8, 4.5),
)  # fmt: skip
# a verdict may turn where a value lies this close to an end
TOLERANCE = {"°C": 0.02, "s": 0.3, "°C/s": 0.03}


def shaped(shape: tuple[float, ...]) -> tuple[tuple[float, float], ...]:
    up, soak, ramp, peak_c, down = shape
    at_s, points = 0.0, [(0.0, 25.0)]
    for to_c, rate in ((150.0, up), (200.0, soak), (peak_c, ramp), (50.0, down)):
        at_s += abs(to_c - points[-1][1]) / rate
        points.append((at_s, to_c))
    return tuple(points)


def same(one: list[Measure], other: list[Measure]) -> None:
    for a, b in zip(one, other, strict=True):
        assert a.key == b.key
        assert a.value == pytest.approx(b.value, abs=TOLERANCE[a.unit])
        close = a.margin is not None and abs(a.margin) <= TOLERANCE[a.unit]
        assert a.status == b.status or close


@given(SHAPES, st.floats(-1000.0, 100_000.0))
@settings(max_examples=40, deadline=None)
def test_shifting_a_record_in_time_changes_no_measure(shape, shift_s: float) -> None:
    time_s, board_c = corners(shaped(shape))
    fitted = (Fitted(part(sheet={"peak_c": 245.0})),)
    same(
        measure(time_s, board_c, paste(), fitted),
        measure(time_s + shift_s, board_c, paste(), fitted),
    )


@given(SHAPES, st.sampled_from([0.1, 0.5]))
@settings(max_examples=40, deadline=None)
def test_resampling_a_record_changes_no_measure(shape, step_s: float) -> None:
    points = shaped(shape)
    fitted = (Fitted(part(sheet={"peak_c": 245.0})),)
    fine, coarse = corners(points), corners(points, step_s)
    found = measure(*coarse, paste(), fitted), measure(*fine, paste(), fitted)
    # a straight line fitted over the window turns at most 1.5 times as fast as the corner in it
    turn = 1.5 * (shape[2] + shape[4]) / RATE_WINDOW_S
    for a, b in zip(*found, strict=True):
        assert a.key == b.key
        # between samples the peak is cut by half a step at the steepest slope, and a span above
        # liquidus by a step at each end, where the smoothed slope turns by `turn` in a second
        slack = {"°C": 2.5, "s": 4.0, "°C/s": turn}[a.unit] * max(step_s, TICK_S) + 0.1
        assert a.value == pytest.approx(b.value, abs=slack)
        assert a.status == b.status or min(abs(a.margin), abs(b.margin)) <= slack


@given(SHAPES, st.floats(0.05, 0.95))
@settings(max_examples=40, deadline=None)
def test_integrals_of_two_halves_add_up_to_the_whole(shape, share: float) -> None:
    time_s, board_c = corners(shaped(shape))
    cut = int(share * (time_s.size - 2)) + 1
    for integral in (curves.time_above, curves.area_above):
        halves = [
            integral(time_s[piece], board_c[piece], 217.0)
            for piece in (slice(None, cut + 1), slice(cut, None))
        ]
        assert sum(halves) == pytest.approx(integral(time_s, board_c, 217.0), abs=1e-6)


@pytest.mark.parametrize("share", [0.1, 0.5, 0.77])
def test_a_record_split_and_joined_again_has_the_same_verdict(tmp_path: Path, share: float) -> None:
    whole = write(tmp_path / "whole.txt", corners(GOOD)[1], placing="on_board")
    data = whole.read_bytes()
    cut = int(share * len(data))
    joined = tmp_path / "joined.txt"
    # cut anywhere, the piece of a line at the first half's end lost
    head, tail = data[:cut], data[cut:]
    joined.write_bytes(head.rpartition(b"\n")[0] + b"\n" + tail.partition(b"\n")[2])
    one, other = (judge(read(path), Bench(paste())) for path in (whole, joined))
    assert (one.status, one.peak_board_c) == (other.status, other.peak_board_c)
    same(list(one.measures), list(other.measures))


# Units --------------------------------------------------------------------------------------------

KEYS = {
    "peak": "peak_c",
    "time_above_liquidus": "above_liquidus_s",
    "soak": "soak_s",
    "heating_rate": "up_c_per_s",
    "cooling_rate": "down_c_per_s",
    "time_to_peak": "to_peak_s",
}


def test_each_measure_has_the_unit_of_the_key_that_it_is_held_against() -> None:
    found = {m.name: m.unit for m in measure(*corners(GOOD), paste())}
    assert {name: found[name] for name in KEYS} == {
        name: unit_guess.unit_of(key) for name, key in KEYS.items()
    }


@given(SHAPES, st.sampled_from(["F", "K", "ms", "min"]))
@settings(max_examples=40, deadline=None)
def test_no_run_passes_in_another_unit(shape, unit: str) -> None:
    time_s, board_c = corners(shaped(shape))
    wrong = {
        "F": (time_s, board_c * 1.8 + 32.0),
        "K": (time_s, board_c + 273.15),
        "ms": (time_s * 1000.0, board_c),
        "min": (time_s / 60.0, board_c),
    }[unit]
    verdict = judge_board(Board(*wrong, "measured", BAND_K), Bench(paste()))
    assert verdict.status not in ("pass", "likely_pass")


@given(SHAPES)
@settings(max_examples=10, deadline=None)
def test_milli_degrees_and_milliseconds_come_back_as_degrees_and_seconds(shape) -> None:
    time_s, board_c = corners(shaped(shape))
    with tempfile.TemporaryDirectory() as place:
        kept = read(write(Path(place) / "record.txt", board_c, placing="on_board"))
    same(measure(kept.time_s, kept.sensor_c, paste()), measure(time_s, board_c, paste()))
