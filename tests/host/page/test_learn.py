"""Know your source: what is asked for is checked, and only a waiting candidate is kept."""

import pytest
from page_made import OURS, visitor

from heatwright.documents import library, load_source

ASKED = {"kind": "toaster", "name": "mine", "on": "sim:toaster", "sensor": "board_sensor"}


def waiting(folder, name="mine"):
    """A visitor with a learnt source that waits to be kept."""
    own = folder / "documents"
    own.mkdir()
    text = library.shipped("source")["toaster"].read_text()
    (own / f"source-{name}.candidate.toml").write_text(text)
    (own / f"source-{name}.candidate.png").write_bytes(b"\x89PNG")
    return visitor(folder)


@pytest.mark.parametrize(
    ("changed", "told"),
    [
        ({"kind": "kettle"}, "kettle"),
        ({"name": "../mine"}, "../mine"),
        # a shipped source is not to be hidden by one of the same name
        ({"name": "toaster"}, "Shipped sources stay"),
    ],
)
def test_what_cannot_be_learnt_is_told_before_anything_begins(tmp_path, changed, told):
    browser = visitor(tmp_path)
    answer = browser.post("/source/begin", data=ASKED | changed, headers=OURS)
    assert answer.status_code == 422
    assert told in answer.text
    assert browser.app.state.desk.phase == "choose"


def test_a_source_of_another_kind_is_not_learnt_over(tmp_path):
    browser = visitor(tmp_path)
    browser.post("/documents/source/sand/copy", data={"name": "mine"}, headers=OURS)
    answer = browser.post("/source/begin", data=ASKED, headers=OURS)
    assert answer.status_code == 422
    assert "sand" in answer.text


def test_what_waits_is_no_document_until_it_is_kept(tmp_path):
    browser = waiting(tmp_path)
    steps = browser.get("/source").text
    assert "Keep it as mine" in steps
    assert "candidate" not in browser.get("/documents").text
    assert browser.get("/source/picture/mine").content == b"\x89PNG"
    kept = browser.post("/source/keep", data={"name": "mine"}, headers=OURS)
    assert kept.headers["location"].startswith("/documents/source/mine")
    assert load_source(tmp_path / "documents/source-mine.toml").kind == "toaster"
    assert not (tmp_path / "documents/source-mine.candidate.toml").exists()
    assert "Keep it as mine" not in browser.get("/source").text


@pytest.mark.parametrize("name", ["other", "../mine", ""])
def test_nothing_else_is_kept(tmp_path, name):
    browser = waiting(tmp_path)
    assert browser.post("/source/keep", data={"name": name}, headers=OURS).status_code == 404
    assert (tmp_path / "documents/source-mine.candidate.toml").exists()


def test_there_is_one_next_step(tmp_path):
    first = visitor(tmp_path).get("/source").text
    assert first.count('class="badge next-badge"') == 1
    assert first.index("next-badge") < first.index('id="measure"')
    later = waiting(tmp_path).get("/source").text
    assert later.index('id="keep"') < later.index("next-badge", later.index("<ol"))
    assert later.index("next-badge", later.index("<ol")) < later.index('id="melt"')
