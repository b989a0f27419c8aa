"""What is written reads back equal, says what each key means, and never half replaces a file."""

import os
from pathlib import Path

import pytest

from heatwright.documents import (
    document_text,
    parse_document,
    read_document,
    shipped,
    write_beside,
    write_document,
)
from heatwright.documents.schema import MODELS
from heatwright.documents.writing import check_writable
from heatwright.errors import BadInput

GOOD = Path(__file__).parent / "good"
ALL = [(kind, path) for kind in MODELS for path in (GOOD / f"{kind}.toml", *shipped(kind).values())]


@pytest.mark.parametrize(("kind", "path"), ALL, ids=[path.stem for _, path in ALL])
def test_a_document_survives_being_written_and_read(kind, path, tmp_path):
    document = read_document(MODELS[kind], path)
    copy = tmp_path / "copy.toml"
    write_document(document, copy)
    assert read_document(MODELS[kind], copy) == document


def test_each_key_is_written_with_its_meaning():
    text = document_text(read_document(MODELS["paste"], GOOD / "paste.toml"))
    assert text.startswith("#:schema ./paste.schema.json\n")
    assert "liquidus_c = 220.0 # wholly molten, °C\n" in text
    assert "peak_c = [235.0, 250.0] # highest board temperature, °C\n" in text


def test_origins_stay_on_one_line():
    text = document_text(read_document(MODELS["paste"], GOOD / "paste.toml"))
    assert 'peak_c = {status = "data_sheet", source = "sheet of 2025, page 2"}\n' in text
    assert parse_document(MODELS["paste"], text, "x").origin_of("peak_c").status == "data_sheet"


def test_a_file_that_cannot_be_replaced_stays_as_it_was(tmp_path, monkeypatch):
    path = tmp_path / "mine.toml"
    path.write_text("old")

    def no_space(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "replace", no_space)
    with pytest.raises(BadInput, match=r"can't be written \(No space left on device\)"):
        write_beside(path, "new")
    assert path.read_text() == "old"
    assert list(tmp_path.iterdir()) == [path]


def test_a_folder_that_is_not_there_is_said(tmp_path):
    with pytest.raises(BadInput, match="can't be written"):
        write_beside(tmp_path / "none" / "mine.toml", "text")
    # nothing was there: nothing is said of an old file
    with pytest.raises(BadInput) as refused:
        write_beside(tmp_path / "none" / "mine.toml", "text")
    assert "old file" not in str(refused.value)


@pytest.mark.parametrize("place", ["none/mine.toml", "folder"])
def test_a_place_is_asked_before_the_work(tmp_path, place):
    (tmp_path / "folder").mkdir()
    with pytest.raises(BadInput, match="can't be written"):
        check_writable(tmp_path / place)


def test_a_device_is_no_place_for_a_document():
    with pytest.raises(BadInput, match="no regular file"):
        check_writable(Path("/dev/full"))


def test_asking_leaves_a_place_as_it_was(tmp_path):
    (tmp_path / "mine.toml").write_text("old")
    check_writable(tmp_path / "mine.toml")
    check_writable(tmp_path / "new.toml")
    assert [path.read_text() for path in tmp_path.iterdir()] == ["old"]
