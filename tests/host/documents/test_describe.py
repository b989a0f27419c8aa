"""``heatwright describe`` as a person and as a script use it."""

from __future__ import annotations

import contextlib
import itertools
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from heatwright.commands.describe import KINDS, command
from heatwright.documents import load_board, load_part, load_parts, load_paste, load_source
from heatwright.documents.describing import answers, paste, placing
from heatwright.documents.describing.answers import NotAnAnswer
from heatwright.documents.describing.outlines import OUTLINES, outline
from heatwright.documents.describing.questions import Question
from heatwright.documents.paste import Paste
from heatwright.errors import BadInput

THREE = "alloy = 217\nsize_mm = 70 x 45 x 1.6\nparts = U1 QFN-24, MK1 microphone\n"


@pytest.fixture(autouse=True)
def _here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)


def describe(*words: str, typed: str = "") -> Result:
    return CliRunner().invoke(command, list(words), input=typed)


def script(text: str, *words: str) -> Result:
    return describe(*words, "--answers", "-", typed=text)


def test_three_answers_give_paste_board_and_parts() -> None:
    assert script(THREE).exit_code == 0
    made, board = load_paste("./paste.toml"), load_board("./board.toml")
    assert (made.alloy, made.liquidus_c) == ("SAC305", 220.0)
    assert made.window == load_paste("sac305").window
    assert (board.length_mm, board.width_mm, board.thickness_mm) == (70.0, 45.0, 1.6)
    qfn, microphone = load_parts(board, Path())
    assert (qfn.package, microphone.fragile) == ("QFN-24", ["vented_microphone"])


def test_what_nobody_answered_is_marked_assumed() -> None:
    script(THREE)
    made, board = load_paste("./paste.toml"), load_board("./board.toml")
    assert {made.origin_of(key).status for key in ("peak_c", "soak_s", "above_c")} == {"assumed"}
    assert board.origin_of("layers").status == "assumed"
    assert board.origin_of("length_mm").status == "data_sheet"
    assert load_part("./part-qfn-24.toml").origin_of("thickness_mm").status == "assumed"


def test_the_schema_stands_beside_and_the_document_points_to_it() -> None:
    script(THREE)
    assert Path("paste.toml").read_text().startswith("#:schema ./paste.schema.json")
    assert Path("paste.schema.json").is_file()
    assert "# highest board temperature, °C" in Path("paste.toml").read_text()


def test_the_same_three_typed_one_at_a_time() -> None:
    result = describe(typed="183\n100 x 80\nnone\n")
    assert result.exit_code == 0
    assert load_paste("./paste.toml").alloy == "Sn63Pb37"
    assert load_board("./board.toml").origin_of("thickness_mm").status == "assumed"
    assert "138, 179, 183, 217 or 227" in result.stderr
    assert not list(Path().glob("*.answers.txt"))


@pytest.mark.parametrize(
    ("label", "alloy"),
    [
        ("138", "Sn42Bi58"),
        ("183", "Sn63Pb37"),
        ("217", "SAC305"),
        ("227", "SAC0307"),
        ("217 °C", "SAC305"),
        ("138,5", "Sn42Bi58"),
        ("sac305", "sac305"),
        ("Sn96.5Ag3.5", "Sn96.5Ag3.5"),
    ],
)
def test_a_label_names_the_alloy(label: str, alloy: str) -> None:
    assert paste.read_melting(label) == alloy


def test_a_wrong_answer_is_explained_and_asked_again() -> None:
    result = describe("paste", typed="\n300\n217\n" + "\n" * 3 + "150 - 200\n60\n60 to 120\n")
    assert "can't be left open" in result.stderr
    assert "No alloy known here melts at 300 °C" in result.stderr
    assert '"60" can\'t be read here' in result.stderr


def test_fahrenheit_and_a_peak_below_melting_are_seen_at_once() -> None:
    typed = "217\n\n\n\n\n\n\n455 to 482\n200 to 210\n240 to 249\n" + "\n" * 9
    result = describe("paste", typed=typed)
    assert result.exit_code == 0
    assert "°F" in result.stderr
    assert "would not melt" in result.stderr
    made = load_paste("./paste.toml")
    assert made.window.peak_c == (240.0, 249.0)
    assert made.origin_of("peak_c").status == "data_sheet"
    assert made.origin_of("soak_c").status == "assumed"


def test_stopping_loses_nothing_and_goes_on() -> None:
    stopped = describe("board", typed="Bat logger\n70 x 45\n4\n")
    assert stopped.exit_code == 1
    assert "kept in board.answers.txt" in stopped.stderr
    again = describe("board", typed="y\n" + "\n" * 8)
    assert again.exit_code == 0
    board = load_board("./board.toml")
    assert (board.name, board.length_mm, board.layers) == ("Bat logger", 70.0, 4)
    assert not Path("board.answers.txt").exists()


def test_every_answer_is_on_disk_before_the_next_question() -> None:
    seen = []

    def ask(_: str) -> str:
        draft = Path("draft.txt")
        seen.append(draft.read_text() if draft.exists() else "")
        return next(typed)

    typed = iter(["217", "70 x 45", "none"])
    from heatwright.documents.describing import start
    from heatwright.documents.describing.interview import interview

    interview(start.QUESTIONS, ask, str, Path("draft.txt"))
    assert ["alloy" in text for text in seen] == [False, True, True]
    assert "size_mm = 70 x 45" in seen[2]


def test_a_file_that_is_there_is_not_written_over() -> None:
    Path("paste.toml").write_text("mine")
    refused = script("alloy = 217\n", "paste")
    assert isinstance(refused.exception, BadInput)
    assert "there already" in str(refused.exception)
    declined = describe("paste", typed="217\n" + "\n" * 20 + "n\n")
    assert declined.exit_code == 1
    assert Path("paste.toml").read_text() == "mine"
    assert script("alloy = 217\n", "paste", "--overwrite").exit_code == 0
    assert load_paste("./paste.toml").name == "SAC305"


def test_part_files_that_are_there_are_used_as_they_are() -> None:
    Path("part-qfn-24.toml").write_text("mine")
    assert script(THREE).exit_code == 0
    assert Path("part-qfn-24.toml").read_text() == "mine"


def test_all_that_is_wrong_with_answers_comes_out_at_once() -> None:
    result = script("aloy = 217\nsize_mm = big\nnonsense\n")
    told = str(result.exception)
    assert isinstance(result.exception, BadInput)
    assert "Did you mean alloy?" in told
    assert "standard input:2: size_mm" in told
    assert "standard input:3" in told
    assert "alloy: This can't be left open" in told


def test_parts_from_a_csv() -> None:
    Path("bom.csv").write_text(
        'Designator;Footprint;Layer\n"R1, R2";0603;Top\nU1;qfn-24-mcu;bottom\n'
    )
    assert script("size_mm = 50x40\n", "board", "--parts", "bom.csv").exit_code == 0
    chips, qfn = load_board("./board.toml").placements
    assert (chips.part, chips.refs, chips.side) == ("part-0603.toml", ["R1", "R2"], "top")
    assert (qfn.part, qfn.refs, qfn.side) == ("qfn-24-mcu", ["U1"], "bottom")


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "must name the columns"),
        ("a,b\n1,2\n", "must name the columns"),
        ("ref,package\n,0603\n", "without a name"),
        ("ref,package\nU1,flux capacitor\n", "No outline is known"),
        ("ref,package,side\nU1,0603,left\n", "not a side"),
    ],
)
def test_a_csv_that_can_t_be_used(text: str, said: str) -> None:
    Path("bom.csv").write_text(text)
    with pytest.raises(BadInput, match=said):
        placing.read_csv(Path("bom.csv"))


def test_a_part_with_its_sheet() -> None:
    answered = "package = QFN-24\nsheet.peak_c = 255\nmoisture_level = 4\n"
    answered += "bag_opened_at = 2026-03-14 09:30\n"
    assert script(answered, "part", "--out", "part-radio.toml").exit_code == 0
    part = load_part("./part-radio.toml")
    assert (part.limits.peak_c, part.life_out_of_bag_h) == (255.0, 72.0)
    assert part.origin_of("moisture_level").status == "data_sheet"
    assert part.origin_of("width_mm").status == "assumed"


def test_a_side_may_stand_after_the_package() -> None:
    rows = placing.read_line("U1 QFN-24 bottom, connector top, mic")
    assert rows == [("U1", "QFN-24", "bottom"), ("", "connector", "top"), ("", "mic", "top")]


@pytest.mark.parametrize("kind", ["toaster", "hot-plate", "sand", "hot-air", "drawer"])
def test_a_source_has_the_model_of_its_kind_until_measured(kind: str) -> None:
    assert script(f"kind = {kind}\nratings.power_w = 900\n", "source").exit_code == 0
    source = load_source("./source.toml")
    assert (source.kind, source.generation, source.ratings.power_w) == (kind, 0, 900.0)
    assert source.plant_params().power_w == 900.0
    assert "never measured" in source.notes


@pytest.mark.parametrize("kind", KINDS)
def test_the_questions_name_each_key_once_and_need_no_memory(kind: str) -> None:
    keys = [question.key for question in KINDS[kind].questions]
    assert len(keys) == len(set(keys))
    assert all(question.expected and question.words for question in KINDS[kind].questions)


def test_questions_are_printed_as_an_answers_file() -> None:
    text = describe("paste", "--questions").stdout
    assert "# window.peak_c =" in text
    assert "Peak temperature" in text


@pytest.mark.parametrize("text", ["235-250", "235 to 250", "[235, 250]", "235 250", "235..250 °C"])
def test_windows_are_read_as_people_write_them(text: str) -> None:
    assert answers.read(Paste, "window.peak_c", text) == (235.0, 250.0)


@pytest.mark.parametrize("text", ["235", "hot", "235 to 250 to 260", "to 250", "", "-235"])
def test_what_is_no_window_is_refused(text: str) -> None:
    with pytest.raises(NotAnAnswer):
        answers.read(Paste, "window.peak_c", text)


def test_a_negative_storage_temperature() -> None:
    assert answers.read(Paste, "storage_c", "-20 to 5") == (-20.0, 5.0)


def test_outlines_are_found_by_their_own_names() -> None:
    for (_, one), (_, other) in itertools.pairwise(OUTLINES):
        assert outline(one.name) == one
        assert outline(other.name) == other
    assert outline("flux capacitor") is None


TYPED = st.one_of(
    st.text(max_size=30),
    st.from_regex(
        r"[-+]?[0-9]{1,6}([.,][0-9]{1,3})?( ?(to|-|x|\\.\\.) ?[0-9]{1,4}){0,2}", fullmatch=True
    ),
    st.sampled_from(["", "nan", "inf", "1e400", "[1, 2]", "none", "yes", "2026-02-30", "0", "-0"]),
)


def explained(question: Question, text: str) -> bool:
    """An answer, or a reason in words."""
    try:
        question.read(text)
    except NotAnAnswer as why:
        return len(str(why).split()) > 2
    return True


@pytest.mark.parametrize("kind", KINDS)
@given(text=TYPED)
@settings(max_examples=60, deadline=None)
def test_whatever_is_typed_is_an_answer_or_explained(kind: str, text: str) -> None:
    for question in KINDS[kind].questions:
        assert explained(question, text)


LINES = st.lists(
    st.tuples(st.sampled_from([q.key for q in KINDS["paste"].questions] + ["x"]), TYPED), max_size=8
).map(lambda pairs: "\n".join(f"{key} = {text}" for key, text in pairs))


@given(text=st.one_of(st.text(max_size=200), LINES))
@settings(
    max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
def test_whatever_an_answers_file_holds_ends_in_words(text: str) -> None:
    result = script(text, "paste", "--overwrite")
    assert result.exit_code == 0 or isinstance(result.exception, BadInput | SystemExit)


@given(text=st.text(max_size=200))
@settings(
    max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
def test_whatever_a_csv_holds_ends_in_words(text: str) -> None:
    Path("any.csv").write_text(text, encoding="utf-8")
    with contextlib.suppress(BadInput):
        placing.place(placing.read_csv(Path("any.csv")))
