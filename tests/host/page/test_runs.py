"""The list of runs: filters, and curves laid over each other."""

import json
import re

import numpy as np
from page_made import visitor

import records_made

RUNS = {
    "20260301-100000-first": ("pass", "Logger", "SAC305"),
    "20260402-100000-second": ("fail", "Logger", "Sn42Bi58"),
    "20260503-100000-third": (None, "Lamp", "SAC305"),
}


def workshop(folder):
    """Three runs in the folder of the visitor who is returned."""
    for name, (verdict, board, paste) in RUNS.items():
        place = folder / "runs" / name
        place.mkdir(parents=True)
        (place / "board.toml").write_text(f'name = "{board}"\n')
        rising_c = np.linspace(25.0, 245.0, 400)
        started = f"{name[:4]}-{name[4:6]}-{name[6:8]}T12:00:00+01:00"
        records_made.write(place / "record.txt", rising_c, started=started, name="bake")
        told = {"verdict": verdict, "peak_board_c": 241.0, "paste": paste}
        (place / "verdict.json").write_text(json.dumps(told))
    return visitor(folder)


def listed(browser, query):
    return re.findall(r'<a href="/runs/([^"]+)"', browser.get(f"/runs?{query}").text)


def test_filters(tmp_path):
    browser = workshop(tmp_path)
    first, second, third = RUNS
    assert listed(browser, "") == [third, second, first]
    assert listed(browser, "board=logger") == [second, first]
    assert listed(browser, "verdict=fail") == [second]
    assert listed(browser, "verdict=none") == [third]
    assert listed(browser, "since=2026-04-01&until=2026-04-30") == [second]
    assert listed(browser, "paste=bi58&board=lamp") == []
    assert "No run fits that." in browser.get("/runs?board=nothing").text


def test_what_there_is_is_suggested(tmp_path):
    text = workshop(tmp_path).get("/runs").text
    for name in ("Logger", "Lamp", "Sn42Bi58"):
        assert f'<option value="{name}">' in text


def overlaid(text):
    found = re.search(r'id="overlaid">(.*?)</script>', text)
    return json.loads(found[1]) if found else []


def test_curves_are_laid_over_each_other_and_a_broken_one_is_told(tmp_path):
    with workshop(tmp_path) as browser:
        first, second, third = RUNS
        for name in RUNS:
            # a name alone is enough for the list, and no board to be judged with
            (tmp_path / "runs" / name / "board.toml").unlink()
        (tmp_path / "runs" / third / "record.txt").write_text("not a record\n")
        text = browser.get(f"/runs?over={first}&over={second}&over={third}").text
        curves = overlaid(text)
        assert [curve["name"].split(",")[0] for curve in curves] == [first, second]
        assert max(point[1] for point in curves[0]["points"]) > 240.0
        assert text.count('class="cue"') == 1


def test_no_run_yet_names_the_next_step(tmp_path):
    text = visitor(tmp_path).get("/runs").text
    assert "No run yet" in text
    assert 'class="button next" href="/"' in text
