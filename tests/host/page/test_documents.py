"""Documents on the page: checked with their own models, the shipped ones never changed."""

import pytest
from page_made import OURS, shown_fields, visitor

from heatwright.documents import library


def test_every_shipped_document_can_be_looked_at(tmp_path):
    browser = visitor(tmp_path)
    listed = browser.get("/documents").text
    for kind in library.FOLDERS:
        for name in library.shipped(kind):
            assert f'href="/documents/{kind}/{name}"' in listed
            assert browser.get(f"/documents/{kind}/{name}").status_code == 200


def test_typing_is_checked_with_all_faults_at_once(tmp_path):
    text = library.shipped("paste")["sac305"].read_text()
    browser = visitor(tmp_path)

    def check(typed):
        return browser.post("/documents/paste/check", data={"text": typed}, headers=OURS).json()

    assert check(text) == []
    faults = check("alloy = 3\npeak = 9\n")
    assert len(faults) > 2
    assert all(fault["what"] for fault in faults)


PASTE = "/documents/paste/mine"


def copied(folder, kind="paste", name="sac305"):
    """A visitor who has made a copy of a shipped document."""
    browser = visitor(folder)
    where = f"/documents/{kind}/{name}/copy"
    answer = browser.post(where, data={"name": "mine"}, headers=OURS)
    assert answer.headers["location"] == f"/documents/{kind}/mine"
    return browser


def typed(browser, where):
    """What a browser would post of a form as it stands: names and values, in order."""
    text = browser.get(where).text
    form = text[text.index('id="document"') : text.index("</form>", text.index('id="document"'))]
    return shown_fields(form)


def test_a_copy_is_word_for_word_and_never_written_over(tmp_path):
    browser = copied(tmp_path)
    mine = tmp_path / "documents/paste-mine.toml"
    assert mine.read_text() == library.shipped("paste")["sac305"].read_text()
    for name in ("mine", "sn63pb37"):
        again = browser.post("/documents/paste/sac0307/copy", data={"name": name}, headers=OURS)
        assert again.status_code == 422
        assert "already" in again.text
    assert mine.read_text() == library.shipped("paste")["sac305"].read_text()


def test_what_is_shipped_is_never_written(tmp_path):
    before = library.shipped("paste")["sac305"].read_text()
    answer = visitor(tmp_path).post("/documents/paste/sac305", data={"text": "x"}, headers=OURS)
    assert answer.status_code == 409
    assert library.shipped("paste")["sac305"].read_text() == before


def test_a_text_is_kept_when_nothing_is_wrong_with_it(tmp_path):
    browser = copied(tmp_path)
    mine = tmp_path / "documents/paste-mine.toml"
    before = mine.read_text()
    mark = dict(typed(browser, f"{PASTE}?as=text"))["mark"]
    bad = browser.post(PASTE, data={"text": "alloy = 1", "mark": mark}, headers=OURS)
    assert bad.status_code == 422
    assert mine.read_text() == before
    good = before.replace("Lead-free.", "Bought in May.")
    assert browser.post(PASTE, data={"text": good, "mark": mark}, headers=OURS).status_code == 303
    assert mine.read_text() == good


def test_a_name_that_leads_elsewhere_is_refused(tmp_path):
    data = {"name": "../../mine"}
    answer = visitor(tmp_path).post("/documents/paste/sac305/copy", data=data, headers=OURS)
    assert answer.status_code == 422
    assert not list(tmp_path.rglob("*mine*"))


@pytest.mark.parametrize(("where", "status"), [("/nowhere", 404), ("/coach/prepare", 405)])
def test_an_address_that_is_none_has_stop_and_a_way_back(tmp_path, where, status):
    answer = visitor(tmp_path).get(where)
    assert answer.status_code == status
    assert 'action="/stop"' in answer.text
    assert 'href="/"' in answer.text


def test_there_is_no_way_out_of_the_runs_folder(tmp_path):
    (tmp_path / "runs").mkdir()
    (tmp_path / "record.txt").write_text("x")
    browser = visitor(tmp_path)
    for way in ("/runs/..%2f", "/runs/%2e%2e", "/runs/%2e%2e/report"):
        assert browser.get(way).status_code != 200
    assert browser.get("/runs/.trash").status_code == 404
