"""Broken documents: each fault is said with its line, what was found, what is right, the cure."""

import tomllib
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from heatwright.documents.reading import MAX_BYTES, parse_document, read_document
from heatwright.documents.schema import MODELS
from heatwright.errors import EXIT_BAD_INPUT, BadInput

HERE = Path(__file__).parent
CASES = tomllib.loads((HERE / "broken.toml").read_text())["case"]
GOOD = {kind: (HERE / "good" / f"{kind}.toml").read_text() for kind in MODELS}


def text_of(case):
    if "text" in case:
        return case["text"]
    text = GOOD[case.get("good", case["kind"])]
    for old, new in case.get("edits", ()):
        assert old in text
        text = text.replace(old, new, 1)
    return text


def faults_of(kind, text):
    try:
        parse_document(MODELS[kind], text, "my.toml")
    except BadInput as error:
        return list(error.faults)
    return None


def refusal(kind, text):
    with pytest.raises(BadInput) as caught:
        parse_document(MODELS[kind], text, "my.toml")
    return caught.value


def test_the_table_is_as_large_as_promised():
    assert len({text_of(case) for case in CASES}) >= 40


@pytest.mark.parametrize("case", CASES, ids=[case["title"] for case in CASES])
def test_a_broken_document_gets_this_message(case):
    error = refusal(case["kind"], text_of(case))
    assert str(error) == case["message"]
    assert error.exit_code == EXIT_BAD_INPUT


@pytest.mark.parametrize("kind", MODELS)
def test_a_good_document_is_read(kind):
    assert parse_document(MODELS[kind], GOOD[kind], "my.toml").kind_of_document == kind


@pytest.mark.parametrize("case", CASES, ids=[case["title"] for case in CASES])
def test_every_fault_carries_place_expectation_and_cure(case):
    for fault in refusal(case["kind"], text_of(case)).faults:
        assert fault.where.startswith("my.toml")
        assert fault.what
        assert fault.expected
        assert fault.cure


def test_windows_line_ends_and_a_byte_order_mark_are_read(tmp_path):
    path = tmp_path / "mine.toml"
    path.write_bytes(b"\xef\xbb\xbf" + GOOD["paste"].replace("\n", "\r\n").encode())
    assert read_document(MODELS["paste"], path).name == "Mine"


@pytest.mark.parametrize(
    ("make", "what", "cure"),
    [
        (lambda path: None, "there is no such file", "a shipped document needs its name only"),
        (lambda path: path.mkdir(), "this is a folder", "Name the .toml file inside it."),
        (lambda path: path.write_bytes(b"x = 1\ny = '\xb0C'\n"), "not UTF-8", "encoding UTF-8"),
        (lambda path: path.write_bytes(b"#" * (MAX_BYTES + 1)), "too large", "a few kilobytes"),
        (lambda path: path.symlink_to(path), "can't be read", "Check who may read it."),
    ],
)
def test_a_file_that_is_none(tmp_path, make, what, cure):
    path = tmp_path / "mine.toml"
    make(path)
    with pytest.raises(BadInput) as caught:
        read_document(MODELS["paste"], path)
    (fault,) = caught.value.faults
    assert fault.where.startswith(str(path))
    assert what in fault.what
    assert cure in fault.cure


def test_bytes_that_are_no_text_are_placed(tmp_path):
    path = tmp_path / "mine.toml"
    path.write_bytes(b"name = 'x'\nnotes = '245 \xb0C'\n")
    with pytest.raises(BadInput, match="line 2: the file is not UTF-8 text\n  found: byte 0xb0"):
        read_document(MODELS["paste"], path)


@settings(max_examples=150, deadline=None)
@given(st.data())
def test_whatever_stands_in_a_file_only_bad_input_comes_out(data):
    kind = data.draw(st.sampled_from(list(MODELS)))
    lines = GOOD[kind].splitlines()
    index = data.draw(st.integers(0, len(lines) - 1))
    key = lines[index].partition("=")[0]
    value = data.draw(
        st.sampled_from(["1", "-1e9", "nan", "[]", "[[1]]", "{}", "{ a = [1] }", "''", "[{}, 1]"])
        | st.text(max_size=8)
    )
    lines[index] = f"{key}= {value}"
    # None: it was a good document after all; anything else raised fails the test
    assert faults_of(kind, "\n".join(lines)) != []


def test_a_long_line_of_another_kind_of_file_is_shown_in_part(tmp_path):
    at = tmp_path / "plan.json"
    at.write_text('{"t_ms":[' + ",".join(map(str, range(2_000))) + "]}\n")
    with pytest.raises(BadInput, match="looks like JSON") as found:
        read_document(MODELS["source"], at)
    assert max(map(len, str(found.value).splitlines())) < 200
