"""What a source was learnt from, with its runs."""

import hashlib

import numpy as np
from page_made import OURS, visitor

import records_made

RUN = "20260301-100000-measuring"


def test_the_runs_of_a_source_are_named_and_linked(tmp_path):
    place = tmp_path / "runs" / RUN
    place.mkdir(parents=True)
    started = "2026-03-01T10:00:00+01:00"
    record = place / "record.txt"
    records_made.write(record, np.linspace(25.0, 245.0, 40), started=started, name="measuring run")
    known = hashlib.sha256(record.read_bytes()).hexdigest()
    browser = visitor(tmp_path)
    browser.post("/documents/source/toaster/copy", data={"name": "mine"}, headers=OURS)
    mine = tmp_path / "documents/source-mine.toml"
    lines = f'learnt_on = 2026-03-02\nlearnt_from = ["{known}"]\nmarked_from = ["{"0" * 64}"]\n'
    kept = [line for line in mine.read_text().splitlines() if "learnt_from =" not in line]
    mine.write_text(lines + "\n".join(kept))
    text = browser.get("/documents/source/mine").text
    assert "2026-03-02" in text
    assert f'<a href="/runs/{RUN}">2026-03-01 10:00, measuring run</a>' in text
    assert "not among the runs here" in text


def test_a_shipped_source_was_never_learnt(tmp_path):
    assert "numbers of its kind" in visitor(tmp_path).get("/documents/source/toaster").text
