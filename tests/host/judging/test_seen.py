"""What was seen on the board: notes, ranked causes, touch-up, probes."""

from __future__ import annotations

import datetime as dt
import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from heatcore.codes import EVENT_DOOR
from heatwright import sentences
from heatwright.commands.judge import command
from heatwright.documents import load_board, load_parts, shipped
from heatwright.documents.bench import Bench
from heatwright.documents.checks import check
from heatwright.documents.parts_file import parts_text
from heatwright.errors import BadInput
from heatwright.judging import aftercare
from heatwright.judging.board import Board
from heatwright.judging.causes import CAUSES, HEAT, PRINT, Explained, explain
from heatwright.judging.earlier import DIFFERENT_K, Repeated
from heatwright.judging.evidence import HINTS, OF_CURVE, OF_DOCUMENTS, SPECIAL, Known
from heatwright.judging.joints import QUIET, STATES, Joint, Seen, note, parse, seen
from heatwright.judging.verdict import judge_board
from heatwright.records import folder
from heatwright.records.reader import Event, Record
from host.documents.benches import bench, part
from records_made import GOOD, corners, write

NOW = dt.datetime(2026, 3, 20, 12, 0)
# the list that the project fixed
FIXED = """
good unmelted cold bridge open non_wetting dewetting insufficient tombstone shifted floating
solder_ball graping charred melted_plastic cracked wrong_part not_visible
"""


def test_the_states_are_fixed_and_each_says_how_it_looks() -> None:
    assert list(STATES) == FIXED.split()
    assert "grainy surface alone is normal" in sentences.JOINT_LOOKS["good"]
    assert "no side fillet" in sentences.JOINT_LOOKS["good"]
    assert "separate grains" in sentences.JOINT_LOOKS["cold"]


def test_each_bad_state_has_causes_and_a_way_to_mend_it() -> None:
    bad = set(FIXED.split()) - QUIET
    assert set(CAUSES) == set(sentences.TOUCH_UP) == bad
    named = {cause for causes in CAUSES.values() for cause in causes}
    assert named == set(sentences.CAUSES)
    weighed = {*OF_CURVE, *OF_DOCUMENTS, *HINTS, *SPECIAL, *HEAT, *PRINT}
    assert weighed <= named
    # heat is never the only suspect, but for what only heat does and a wrong part
    assert all(set(CAUSES[state]) - HEAT for state in bad)


def explained(
    state: str, points=GOOD, events: tuple[Event, ...] = (), on: Bench | None = None, **known
) -> Explained:
    on = on or bench(part())
    board = Board(*corners(points), "measured", 2.5)
    verdict = judge_board(board, on)
    run = Known(verdict, check(on, NOW), _record(events))
    return explain([Joint("U1", state)], on, run, known.get("repeated", ()))[0]


def _record(events: tuple[Event, ...]) -> Record:
    # only the events of it are looked at
    made = Record.__new__(Record)
    object.__setattr__(made, "events", events)
    return made


COLD = ((0, 25), (125, 150), (215, 200), (245, 214), (300, 214), (395, 70), (455, 50))
FAST = ((0, 25), (32, 150), (122, 200), (145, 220), (170, 242), (195, 220), (295, 70))
LONG_SOAK = ((0, 25), (125, 150), (345, 200), (365, 220), (390, 242), (415, 220), (515, 70))


@pytest.mark.parametrize(
    ("state", "points", "first"),
    [
        ("unmelted", COLD, "peak_low"),
        ("cold", COLD, "above_short"),
        ("solder_ball", FAST, "heating_fast"),
        ("tombstone", FAST, "heating_fast"),
        ("graping", LONG_SOAK, "soak_long"),
        ("bridge", GOOD, "print_smeared"),
        ("tombstone", GOOD, "copper_pour"),
        ("non_wetting", GOOD, "dirty_pads"),
    ],
)
def test_the_curve_decides_how_likely_heat_is(state: str, points, first: str) -> None:
    found = explained(state, points)
    assert found.causes[0].cause == first
    assert (found.causes[0].cause in HEAT) == found.causes[0].is_heat
    assert [one.weight for one in found.causes] == sorted(
        (one.weight for one in found.causes), reverse=True
    )


def test_a_curve_that_holds_speaks_against_heat_in_numbers() -> None:
    causes = explained("unmelted").causes
    assert {one.cause for one in causes[:2]} == {"cold_spot", "sensor_moved"}
    soak = next(one for one in explained("tombstone").causes if one.cause == "soak_short")
    assert "Against it: soak 90 s, window 60 to 120" in soak.evidence


def test_documents_speak_for_what_is_not_heat() -> None:
    pad = {"smallest_width_mm": 0.3, "smallest_length_mm": 1.0, "centre_pad_cover_percent": 95.0}
    floats = explained("floating", on=bench(part(aperture=pad)))
    assert floats.causes[0].cause == "centre_pad_over"
    assert "95 % of its centre pad" in floats.causes[0].evidence
    damp = part(moisture_level="3", bag_opened_at=NOW - dt.timedelta(days=30))
    cracked = explained("cracked", on=bench(damp))
    assert cracked.causes[0].cause == "damp_part"
    assert "30 days" in cracked.causes[0].evidence
    narrow = {"smallest_width_mm": 0.2, "smallest_length_mm": 0.2}
    assert explained("insufficient", on=bench(part(aperture=narrow))).causes[0].weight > 10


def test_a_door_opened_early_is_a_cause_and_one_at_the_peak_is_none() -> None:
    early = (Event(200.0, EVENT_DOOR, 1, 0),)
    found = {c.cause: c for c in explained("unmelted", events=early).causes}
    assert "opened at 200 s, the peak was at 270 s" in found["door_early"].evidence
    at_peak = (Event(268.0, EVENT_DOOR, 1, 0),)
    assert "door_early" not in {c.cause for c in explained("unmelted", events=at_peak).causes}


def test_a_part_beyond_its_limit_explains_its_melted_plastic() -> None:
    hot = bench(part(sheet={"peak_c": 235.0}, fragile=["plastic"]))
    found = explained("melted_plastic", on=hot)
    assert found.causes[0].cause == "part_hot"
    assert "part peak 242 °C, window at most 235" in found.causes[0].evidence


def test_the_same_joint_under_different_heat_is_paste_or_aperture() -> None:
    again = Repeated(Joint("U1", "bridge"), 3, 231.0, 249.0)
    found = explained("bridge", FAST, repeated=[again])
    assert not any(one.is_heat for one in found.causes)
    assert "Look at paste and stencil opening" in found.repeated.sentence


# Notes ------------------------------------------------------------------------------------------


def test_joints_are_read_as_people_write_them() -> None:
    assert parse(["u1=Bridge", "C3 = non wetting", "J1=melted-plastic"]) == [
        Joint("U1", "bridge"),
        Joint("C3", "non_wetting"),
        Joint("J1", "melted_plastic"),
    ]


def test_all_that_is_no_joint_comes_out_at_once() -> None:
    with pytest.raises(BadInput) as caught:
        parse(["U1", "=bridge", "U2=broken"])
    assert len(caught.value.faults) == 3
    assert "not_visible" in str(caught.value)


def test_notes_are_added_and_the_last_word_counts(tmp_path: Path) -> None:
    notes = tmp_path / folder.NOTES
    notes.write_text('# by hand\nremark = "smelt odd"\n')
    note(tmp_path, [Joint("U1", "bridge"), Joint("C1", "good")], ["dead"], NOW)
    note(tmp_path, [Joint("U1", "good")], [], NOW)
    assert seen(tmp_path) == Seen(
        (Joint("U1", "good"), Joint("C1", "good")), ("dead",), ("remark: smelt odd",)
    )
    assert notes.read_text().startswith("# by hand\nremark")


def test_broken_notes_are_named_and_kept(tmp_path: Path) -> None:
    notes = tmp_path / folder.NOTES
    notes.write_text("[[joint\n")
    for act in (lambda: seen(tmp_path), lambda: note(tmp_path, [], ["x"], NOW)):
        with pytest.raises(BadInput, match=r"notes\.toml"):
            act()
    assert notes.read_text() == "[[joint\n"


@pytest.mark.parametrize("text", ["joint = 3\n", "[[joint]]\nref = 1\n", 'test = "x"\n', ""])
def test_notes_of_another_shape_are_no_joints(tmp_path: Path, text: str) -> None:
    (tmp_path / folder.NOTES).write_text(text)
    assert seen(tmp_path).joints == ()


# Touch-up, probes, power ------------------------------------------------------------------------


def test_a_bismuth_board_never_sees_leaded_wire() -> None:
    assert "never leaded" in aftercare.iron(bench(paste="sn42bi58").paste)
    assert "lead-free wire" in aftercare.iron(bench().paste)
    assert "tin-lead" in aftercare.iron(bench(paste="sn63pb37").paste)


def test_touching_up_says_how() -> None:
    (bridge,) = aftercare.touch_up([Joint("U1", "bridge"), Joint("C1", "good")])
    assert all(word in bridge for word in ("U1", "flux", "wick", "drag"))


def test_hidden_joints_are_probed() -> None:
    on = bench(part(package="QFN-24"), part(package="SOIC-8"))
    lines = aftercare.probes(on, Seen())
    assert len(lines) == 2
    assert "1-2, 2-3 and so on to 24-1" in lines[0]
    assert "diode check" in lines[1]
    more = aftercare.probes(on, Seen((Joint("U2", "not_visible"), Joint("X9", "not_visible"))))
    assert len(more) == 6
    assert any(line.startswith("X9") for line in more)


def test_before_power_names_the_polar_parts() -> None:
    text = "\n".join(aftercare.before_power(bench(part(fragile=["electrolytic"]))))
    assert "(U1)" in text
    assert "current limit" in text
    assert "not shorted" in text


# The command ------------------------------------------------------------------------------------


def a_run(root: Path, name: str, shift_k: float) -> Path:
    """A run of the workshop's board in a folder of its own."""
    run = root / name
    run.mkdir(parents=True)
    write(run / folder.RECORD, corners(GOOD)[1] + shift_k, placing="on_board")
    board = load_board("bat-logger")
    names = [place.part for place in board.placements]
    by_name = dict(zip(names, load_parts(board), strict=True))
    folder.put(run, folder.PASTE, shipped("paste")["sac305"].read_bytes())
    folder.put(run, folder.BOARD, shipped("board")["bat-logger"].read_bytes())
    folder.put(run, folder.PARTS, parts_text(board, by_name).encode())
    return run


def told(run: Path, *words: str) -> dict:
    result = CliRunner().invoke(command, [str(run), "--json", *words])
    assert result.exit_code in (0, 3), result.output
    document = json.loads(result.stdout)
    folder.put_json(run, folder.VERDICT, document)
    return document


def test_what_was_seen_is_kept_and_comes_back_with_its_causes(tmp_path: Path) -> None:
    run = a_run(tmp_path, "one", 0.0)
    told(run, "--joint", "U1=bridge", "--tested", "no bats heard")
    document = told(run)
    assert document["joints"] == [{"ref": "U1", "state": "bridge"}]
    assert document["tests"] == ["no bats heard"]
    (bridge,) = document["causes"]
    assert bridge["refs"] == ["U1"]
    assert {"cause", "is_heat", "weight", "sentence", "evidence", "change"} == set(
        bridge["ranked"][0]
    )
    assert any("U1" in line for line in document["touch_up"])
    result = CliRunner().invoke(command, [str(run)])
    for words in ("Causes of bridge at U1", "To touch up", "out of sight", "Before first power"):
        assert words in result.stdout


def test_run_after_run_the_same_bridge_is_said_to_be_paste_or_aperture(tmp_path: Path) -> None:
    for name, shift_k in (("one", -6.0), ("two", 6.0)):
        document = told(a_run(tmp_path, name, shift_k), "--joint", "U1=bridge")
    said = document["causes"][0]["repeated"]
    assert "U1 was bridge in 2 runs whose peaks lay between 236 °C and 248 °C" in said
    assert not any(one["is_heat"] for one in document["causes"][0]["ranked"])


def test_under_the_same_heat_nothing_is_said_of_other_runs(tmp_path: Path) -> None:
    for name, shift_k in (("one", 0.0), ("two", DIFFERENT_K - 5.0)):
        document = told(a_run(tmp_path, name, shift_k), "--joint", "U1=bridge")
    assert document["causes"][0]["repeated"] is None


def test_before_anything_was_noted_nothing_is_said(tmp_path: Path) -> None:
    run = a_run(tmp_path, "one", 0.0)
    result = CliRunner().invoke(command, [str(run)])
    assert sentences.NOTED_HEAD not in result.stdout
    assert not (run / folder.NOTES).exists()


def test_a_name_that_the_board_does_not_have_is_told_and_noted(tmp_path: Path) -> None:
    run = a_run(tmp_path, "one", 0.0)
    result = CliRunner().invoke(command, [str(run), "--joint", "R9=cold"])
    assert "R9 is not on this board (U1, MK1, C1, J1)" in result.stderr
    assert seen(run).joints == (Joint("R9", "cold"),)


def test_the_states_are_listed_without_a_record() -> None:
    result = CliRunner().invoke(command, ["--states"])
    assert result.exit_code == 0
    assert all(f"  {state} " in result.stdout for state in STATES)
