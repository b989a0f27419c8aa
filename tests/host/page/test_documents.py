"""Documents on the page: checked with their own models, the shipped ones never changed."""

from page_made import OURS, visitor

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


def test_a_copy_is_saved_beside_and_a_broken_one_is_not(tmp_path):
    text = library.shipped("paste")["sac305"].read_text()
    browser = visitor(tmp_path)
    where = "/documents/paste/sac305"
    answer = browser.post(where, data={"name": "mine", "text": text}, headers=OURS)
    assert answer.headers["location"] == "/documents/paste/mine"
    assert (tmp_path / "documents/paste-mine.toml").read_text() == text
    assert browser.get("/documents/paste/mine").status_code == 200
    broken = browser.post(where, data={"name": "mine", "text": "alloy = 1"}, headers=OURS)
    assert broken.status_code == 422
    assert (tmp_path / "documents/paste-mine.toml").read_text() == text


def test_a_name_that_leads_elsewhere_is_refused(tmp_path):
    text = library.shipped("paste")["sac305"].read_text()
    data = {"name": "../../mine", "text": text}
    answer = visitor(tmp_path).post("/documents/paste/sac305", data=data, headers=OURS)
    assert answer.status_code == 422
    assert not list(tmp_path.rglob("*mine*"))


def test_there_is_no_way_out_of_the_runs_folder(tmp_path):
    (tmp_path / "runs").mkdir()
    (tmp_path / "record.txt").write_text("x")
    browser = visitor(tmp_path)
    for way in ("/runs/..%2f", "/runs/%2e%2e", "/runs/%2e%2e/report"):
        assert browser.get(way).status_code != 200
    assert browser.get("/runs/.trash").status_code == 404
